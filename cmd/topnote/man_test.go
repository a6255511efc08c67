package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// TestManPages holds docs/man to the commands: one page for each, made from the
// same texts as its help. -update writes them anew.
func TestManPages(t *testing.T) {
	folder := filepath.Join(root, "docs", "man")
	var result status
	pages := map[string]string{}
	addPages(newRoot(streams{nil, io.Discard, io.Discard}, &result), pages)
	if len(pages) < 10 {
		t.Fatalf("only %d pages", len(pages))
	}
	if *update {
		if err := os.RemoveAll(folder); err != nil {
			t.Fatal(err)
		}
		if err := os.MkdirAll(folder, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for name, page := range pages {
		path := filepath.Join(folder, name)
		if *update {
			if err := os.WriteFile(path, []byte(page), 0o644); err != nil {
				t.Fatal(err)
			}
		} else if was, err := os.ReadFile(path); err != nil || string(was) != page {
			t.Errorf("docs/man/%s is not what the command says of itself (%v); renew it with go test -run ManPages ./cmd/topnote -update", name, err)
		}
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if pages[e.Name()] == "" {
			t.Errorf("docs/man/%s is of no command", e.Name())
		}
	}
}

// TestManPagesShow has the system's own program set every page.
func TestManPagesShow(t *testing.T) {
	groff, err := exec.LookPath("groff")
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatal("groff, which would set the pages, is not installed")
	}
	if err != nil {
		t.Skip("groff, which would set the pages, is not installed")
	}
	pages, err := filepath.Glob(filepath.Join(root, "docs", "man", "*.1"))
	if err != nil || len(pages) == 0 {
		t.Fatal(pages, err)
	}
	for _, page := range pages {
		var errs bytes.Buffer
		cmd := exec.Command(groff, "-man", "-Tascii", "-ww", page)
		cmd.Stderr = &errs
		out, err := cmd.Output()
		if err != nil || errs.Len() > 0 || !bytes.Contains(out, []byte("topnote")) {
			t.Errorf("%s: %v %s", page, err, errs.String())
		}
	}
}

// addPages adds the page of a command and of those below it, by file name.
func addPages(c *cobra.Command, pages map[string]string) {
	pages[pageName(c)+".1"] = manPage(c)
	for _, below := range c.Commands() {
		if below.Name() != "help" {
			addPages(below, pages)
		}
	}
}

func pageName(c *cobra.Command) string { return strings.ReplaceAll(c.CommandPath(), " ", "-") }

// manPage writes what a command says of itself in the language of manual pages.
// Source: groff_man(7).
func manPage(c *cobra.Command) string {
	c.InitDefaultHelpFlag()
	c.InitDefaultVersionFlag()
	var b strings.Builder
	fmt.Fprintf(&b, ".TH %q 1 \"\" \"Topnote\" \"Topnote\"\n", strings.ToUpper(pageName(c)))
	fmt.Fprintf(&b, ".SH NAME\n%s \\- %s\n", roff(pageName(c)), roff(c.Short))
	line := c.UseLine()
	if c.HasSubCommands() {
		line = c.CommandPath() + " COMMAND"
	}
	fmt.Fprintf(&b, ".SH SYNOPSIS\n.B %s\n", roff(line))
	about := c.Long
	if about == "" {
		about = c.Short + "."
	}
	b.WriteString(".SH DESCRIPTION\n" + strings.ReplaceAll(roff(about), "\n\n", "\n.PP\n") + "\n")
	flags := func(title string, f *pflag.FlagSet) {
		if f.HasAvailableFlags() {
			b.WriteString(".SH " + title + "\n")
			f.VisitAll(func(f *pflag.Flag) { b.WriteString(manFlag(f)) })
		}
	}
	flags("OPTIONS", c.NonInheritedFlags())
	flags("OPTIONS OF THE COMMANDS ABOVE", c.InheritedFlags())
	if c.HasExample() {
		b.WriteString(".SH EXAMPLES\n.nf\n" + roff(strings.TrimRight(c.Example, "\n")) + "\n.fi\n")
	}
	b.WriteString(manRelated(c))
	return b.String()
}

// manFlag writes one flag, with its value where it takes one.
func manFlag(f *pflag.Flag) string {
	value, says := pflag.UnquoteUsage(f)
	name := "\\-\\-" + roff(f.Name)
	if f.Shorthand != "" {
		name = "\\-" + roff(f.Shorthand) + ", " + name
	}
	if value != "" {
		value = " \\fI" + roff(value) + "\\fR"
	}
	if f.DefValue != "" && f.DefValue != "false" {
		says += " (without it, " + f.DefValue + ")"
	}
	return fmt.Sprintf(".TP\n\\fB%s\\fR%s\n%s\n", name, value, roff(says))
}

// manRelated names the pages of the command above and of those below.
func manRelated(c *cobra.Command) string {
	var names []string
	if c.HasParent() {
		names = append(names, pageName(c.Parent()))
	}
	for _, below := range c.Commands() {
		if below.Name() != "help" {
			names = append(names, pageName(below))
		}
	}
	var b strings.Builder
	b.WriteString(".SH SEE ALSO\n")
	for i, name := range names {
		comma := ","
		if i == len(names)-1 {
			comma = ""
		}
		fmt.Fprintf(&b, ".BR %s (1)%s\n", roff(name), comma)
	}
	return b.String()
}

// roff keeps text from being taken for instructions.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			lines[i] = `\&` + line
		}
	}
	return strings.Join(lines, "\n")
}
