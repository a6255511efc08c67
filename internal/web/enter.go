package web

import (
	"crypto/sha256"
	"encoding/base64"
	"html/template"
	"net/http"
)

// enterStyle is the style of the form for the code. It stands in the page, as
// nothing else is served to those without the code, and the policy knows it by
// its sum.
const enterStyle = `body{font:1.25rem/1.5 system-ui,sans-serif;max-width:24rem;margin:3rem auto;padding:0 1rem;color-scheme:light dark}` +
	`input,button{font:inherit;min-height:3rem;width:100%;box-sizing:border-box;margin:.5rem 0;padding:0 .75rem}input{text-transform:uppercase}`

var enterTemplate = template.Must(template.New("enter").Parse(`<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Topnote: access code</title>
<style>` + enterStyle + `</style>
<h1>Topnote</h1>
{{with .}}<p role="alert">{{.Says}}; {{.Do}}.</p>{{end}}
<form method="post" action="/enter">
<label for="code">` + enterLabel + `</label>
<input id="code" name="code" required autofocus autocomplete="off" autocapitalize="characters" spellcheck="false" maxlength="20">
<button>Go in</button>
</form>
</html>
`))

// askCode shows the form for the code, with what was wrong with the last one.
func askCode(w http.ResponseWriter, f *fault) {
	sum := sha256.Sum256([]byte(enterStyle))
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; style-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+
		"'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
	h.Set("Content-Type", typeHTML)
	var said *errorParts
	status := http.StatusUnauthorized
	if f != nil {
		parts := f.parts()
		said, status = &parts, f.status
		f.head(h)
	}
	w.WriteHeader(status)
	_ = enterTemplate.Execute(w, said) // the client has gone, then
}
