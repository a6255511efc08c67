package access

import (
	"crypto/sha256"
	"encoding/base64"
	"html/template"
	"net/http"

	"topnote/internal/web/fault"
)

// enterPath is the address that takes the access code.
const enterPath = "/enter"

// maxCode is how many bytes of a form with a code are read.
const maxCode = 1000

// enter checks a code that came in the address, as the QR code has it, or in the
// form. It lets its sender in, or shows the form.
func (g *Guard) enter(w http.ResponseWriter, r *http.Request) {
	var code string
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		code = r.URL.Query().Get("code")
	case http.MethodPost:
		body := g.Pace.Body(w, r, maxCode)
		defer body.Done()
		code = r.PostFormValue("code")
	default:
		fault.Method(r.Method).Refuse(w)
		return
	}
	if code == "" {
		showForm(w, nil)
		return
	}
	if err := g.Auth.try(addressOf(r), code); err != nil {
		showForm(w, fault.Of(err))
		return
	}
	g.Auth.setCookie(w)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// enterStyle is the style of the form for the code. It is inside the page, as
// nothing else is served to those without the code, and the policy allows it by
// its hash.
const enterStyle = `:root{color-scheme:light dark;background:#fff;color:#1c2126}@media (prefers-color-scheme:dark){:root{background:#12161a;color:#e8ecf0}}` +
	`body{font:1.25rem/1.5 system-ui,sans-serif;max-width:24rem;margin:3rem auto;padding:0 1rem}` +
	`input,button{font:inherit;min-height:3rem;width:100%;box-sizing:border-box;margin:.5rem 0;padding:0 .75rem}input{text-transform:uppercase}`

var enterTemplate = template.Must(template.New("enter").Parse(`<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>` + enterTitle + `</title>
<style>` + enterStyle + `</style>
<main>
<h1>Topnote</h1>
{{with .}}<p role="alert">{{.Says}}; {{.Do}}.</p>{{end}}
<form method="post" action="/enter">
<label for="code">` + enterLabel + `</label>
<input id="code" name="code" required autofocus autocomplete="off" autocapitalize="characters" spellcheck="false" maxlength="20">
<button>` + enterButton + `</button>
</form>
</main>
</html>
`))

// showForm shows the form for the code, with what was wrong with the last one; nil
// is nothing.
func showForm(w http.ResponseWriter, f *fault.Fault) {
	sum := sha256.Sum256([]byte(enterStyle))
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; style-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+
		"'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
	h.Set("Content-Type", "text/html; charset=utf-8")
	var said *fault.Parts
	status := http.StatusUnauthorized
	if f != nil {
		parts := f.Parts()
		said, status = &parts, f.Status
		f.SetHeader(h)
	}
	w.WriteHeader(status)
	_ = enterTemplate.Execute(w, said) // an error here means that the client has gone
}
