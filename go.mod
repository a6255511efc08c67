module topnote

go 1.26.8
