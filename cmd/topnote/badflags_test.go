package main

import "fmt"

// entered is a command line that is refused before anything is opened.
func entered(what, args, says string) badInput {
	return badInput{what: what, args: args, want: wrongUsage, says: says}
}

// values tries several values of one flag.
func values(flag, before string, says map[string]string, order ...string) []badInput {
	var cases []badInput
	for _, v := range order {
		cases = append(cases, entered(fmt.Sprintf("--%s %q", flag, v), fmt.Sprintf(`%s "--%s=%s"`, before, flag, v), says[v]))
	}
	return cases
}

func badFlags() []badInput {
	const clip = "measure none.wav"
	cases := []badInput{
		entered("nothing", "", "no command was given"),
		entered("a command that there is not", "measuer", `there is no command "measuer"`),
		entered("no recording", "measure", "no recording was named"),
		entered("a flag that there is not", clip+" --lmit 13500", "there is no flag --lmit"),
		entered("a flag without its value", clip+" --limit", "--limit needs a value"),
		entered("standard input twice", "measure - -", "standard input can be read only once"),
	}
	cases = append(cases, values("limit", clip, map[string]string{
		"": "is not a speed", "abc": "is not a speed", "NaN": "is not a speed", "Inf": "is not a speed", "-1": "is not a speed",
		"1e309": "is not a speed", "13.500": "more than one speed", "0": "outside what can be judged", "99999999999999999999": "outside what can be judged",
	}, "", "abc", "NaN", "Inf", "-1", "1e309", "13.500", "0", "99999999999999999999")...)
	cases = append(cases,
		entered("an idle speed above the limit", clip+" --limit 2800 --idle 13500", "is not below the limit"),
		entered("a clutch that engages below idle", clip+" --idle 2800 --clutch 2700", "is not below the clutch engagement speed"),
		entered("--strokes 3", clip+" --strokes 3", "strokes 3"),
		entered("--strokes two", clip+" --strokes two", "is not a whole number"),
		entered("--strokes NaN", clip+" --strokes NaN", "--strokes"),
		entered("--cylinders -1", clip+" --cylinders -1", "cylinders -1"),
		entered("--cylinders 1e309", clip+" --cylinders 1e309", "--cylinders"),
		entered("--cylinders 99999999999999999999", clip+" --cylinders 99999999999999999999", "--cylinders"),
		entered("--format xml", clip+" --format xml", "is not a form of the result"),
		entered("--reply as JSON", clip+" --reply --format json", "--reply is text"),
		entered("--reply=perhaps", clip+" --reply=perhaps", "takes no value"),
		entered("a picture of an unknown kind", clip+" --plot pass.gif", "end the name in .png or .svg"),
		entered("--plot-size NaNxNaN", clip+" --plot pass.png --plot-size NaNxNaN", "is not a size of a picture"),
		entered("--plot-size 1e309x1e309", clip+" --plot pass.png --plot-size 1e309x1e309", "is not a size of a picture"),
		entered("--plot-size -18x-13", clip+" --plot pass.png --plot-size -18x-13", "is not a size of a picture"),
		entered("one recording to compare", "compare a.wav", "one recording cannot be compared"),
		entered("seven recordings to compare", "compare 1.wav 2.wav 3.wav 4.wav 5.wav 6.wav 7.wav", "7 recordings cannot be compared"),
		entered("no shell", "completion", "no shell was named"),
		entered("a shell that is not known", "completion csh", `"csh" is not a shell that topnote knows`),
		entered("samples to nowhere", "sample", "no folder was named"),
	)
	return cases
}

func badAir() []badInput {
	const at = " --altitude 100"
	cases := values("temp", "air"+at, map[string]string{
		"": "no temperature", "warm": "no temperature", "NaN": "no temperature", "1e309": "no temperature", "-300": "; ", "500": "; ",
	}, "", "warm", "NaN", "1e309", "-300", "500")
	cases = append(cases, values("rh", "air --temp 20"+at, map[string]string{
		"-1": "; ", "101": "; ", "0.5": "; ", "NaN": "; ",
	}, "-1", "101", "0.5", "NaN")...)
	cases = append(cases, values("altitude", "air --temp 20", map[string]string{"high": "; ", "1000000": "; ", "-1e309": "; "}, "high", "1000000", "-1e309")...)
	cases = append(cases, values("pressure", "air --temp 20", map[string]string{"0": "; ", "-1": "; ", "1013 psi": "; "}, "0", "-1", "1013 psi")...)
	return append(cases,
		entered("no temperature", "air --altitude 100", "temperature"),
		entered("neither height nor pressure", "air --temp 20", "neither a height nor a pressure"),
		entered("an empty day to compare with", `air --temp 20 --altitude 100 --since ""`, "--since"),
		entered("a day to compare with in words", `air --temp 20 --altitude 100 --since "it was warm"`, "--since"),
		entered("a figure twice", `air --temp 20 --altitude 100 --since "temp=8 temp=9 altitude=1"`, "--since"),
		entered("a filter that loses nothing", "air --temp 20 --altitude 100 --filter-drop -1", "; "),
		entered("a venturi without a filter", "air --temp 20 --altitude 100 --venturi-drop 40", "says nothing without a filter"),
		entered("--units imperial", "air --temp 20 --altitude 100 --units imperial", "; "),
	)
}

func badConditions() []badInput {
	const pass = "measure none.wav --machine saw"
	cases := values("h", pass, map[string]string{
		"": "is no setting of a screw", "much": "is no setting of a screw", "NaN": "is no setting of a screw", "-1": "is no setting of a screw",
		"1e309": "is no setting of a screw", "1/0": "is no setting of a screw", "99": "is no setting of a screw",
	}, "", "much", "NaN", "-1", "1e309", "1/0", "99")
	return append(cases,
		entered("--l abc", pass+" --l abc", "--l:"),
		entered("--idle-screw Inf", pass+" --idle-screw Inf", "--idle-screw:"),
		entered("a size of no picture", "measure none.wav --plot-size 18x13", "--plot-size says nothing without a picture"),
		entered("a screw of no machine", "measure none.wav --h 1.25", "--h needs a machine"),
		entered("--air in words", pass+" --air warm", "--air"),
		entered("--air without a height", pass+" --air temp=8", "neither a height nor a pressure"),
		entered("--date yesterday", pass+" --date yesterday", "is not a date"),
		entered("--date 2026-02-30", pass+" --date 2026-02-30", "is not a date"),
		entered("--date of a coming century", pass+" --date 2126-05-31", "it cannot be in the future"),
		entered("a machine without a name", "book machine add", "no machine was named"),
		entered("a machine of an empty name", `book machine add ""`, "a machine needs a name"),
		entered("a pass that is no number", "book show first", "is not the number of a pass"),
		entered("pass -1", "book show -- -1", "is not the number of a pass"),
	)
}
