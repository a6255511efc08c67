// Command licences lists what a release is made of: each module in the binary,
// on any of the systems that releases are for, with its licence. It fails where
// a licence is missing, not known to it, or not permissive.
//
//	go run .ci/licences.go          docs/licences.md
//	go run .ci/licences.go -texts   all licences in full, for the archives
package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

func main() {
	texts := flag.Bool("texts", false, "print the licences in full")
	flag.Parse()
	modules, err := inBinary("linux", "darwin", "windows")
	if err == nil {
		err = errors.Join(eachRead(modules)...)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	if *texts {
		writeTexts(os.Stdout, modules)
		return
	}
	writeTable(os.Stdout, modules)
}

// module is one module in the binary.
type module struct {
	Path, Version, Dir string
	licences           []string // by their SPDX names
	files              []file
}

// file is one file with the text of a licence.
type file struct{ name, text string }

// inBinary gives the modules of the program on any of the systems, and Go.
func inBinary(systems ...string) ([]*module, error) {
	goroot, err := output(exec.Command("go", "env", "GOROOT"))
	if err != nil {
		return nil, err
	}
	found := map[string]*module{"std": {Path: "Go and its library", Dir: strings.TrimSpace(string(goroot))}}
	for _, system := range systems {
		list := exec.Command("go", "list", "-deps", "-json=Module", "./cmd/topnote")
		list.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
		out, err := output(list)
		if err != nil {
			return nil, err
		}
		for d := json.NewDecoder(bytes.NewReader(out)); ; {
			var p struct{ Module *module }
			if err := d.Decode(&p); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				return nil, err
			}
			if p.Module != nil && p.Module.Path != "topnote" {
				found[p.Module.Path] = p.Module
			}
		}
	}
	var modules []*module
	for _, m := range found {
		modules = append(modules, m)
	}
	sqlite, err := sqliteWASM(found["github.com/spf13/cobra"])
	if err != nil {
		return nil, err
	}
	modules = append(modules, sqlite)
	slices.SortFunc(modules, func(a, b *module) int { return cmp.Compare(a.Path, b.Path) })
	return modules, nil
}

// sqliteWASM gives SQLite's WebAssembly, which the files of topnote page hold. Its
// package names its licence and has no text of it, so that of another module under
// the same one stands for it.
func sqliteWASM(apache *module) (*module, error) {
	source, err := os.ReadFile(filepath.Join(".ci", "page.go"))
	if err != nil {
		return nil, err
	}
	m := regexp.MustCompile(`sqlitePackage\s*= "(.+)@(.+)"`).FindSubmatch(source)
	if m == nil || apache == nil {
		return nil, errors.New(".ci/page.go names no SQLite, or there is no module under its licence")
	}
	text, err := os.ReadFile(filepath.Join(apache.Dir, "LICENSE.txt"))
	if err != nil {
		return nil, err
	}
	return &module{Path: string(m[1]), Version: string(m[2]), files: []file{
		{"LICENSE", string(text)},
		{"SQLite", "SQLite Is Public Domain: its authors dedicated the code that was compiled to it (sqlite.org/copyright.html)."},
	}}, nil
}

func output(c *exec.Cmd) ([]byte, error) {
	c.Stderr = os.Stderr
	out, err := c.Output()
	if err != nil {
		err = fmt.Errorf("%s: %w", c, err)
	}
	return out, err
}

func eachRead(modules []*module) []error {
	var errs []error
	for _, m := range modules {
		errs = append(errs, m.read())
	}
	return errs
}

// named is what files with licences are called, and the folders that modules
// keep more of them in.
var named = regexp.MustCompile(`(?i)^((un)?licen[cs]e|copying|notice|patents)`)

// read reads the licences of a module.
func (m *module) read() error {
	if m.Dir == "" { // of no module
		return m.classify()
	}
	err := filepath.WalkDir(m.Dir, func(path string, d fs.DirEntry, err error) error {
		rel, errRel := filepath.Rel(m.Dir, path)
		switch {
		case err != nil || errRel != nil:
			return errors.Join(err, errRel)
		case rel == ".":
			return nil
		case d.IsDir() && (strings.Contains(rel, string(filepath.Separator)) || !strings.Contains(strings.ToUpper(rel), "LICENSES")):
			return filepath.SkipDir
		case d.IsDir():
			return nil
		case !strings.Contains(rel, string(filepath.Separator)) && !named.MatchString(rel):
			return nil
		}
		text, err := os.ReadFile(path)
		m.files = append(m.files, file{filepath.ToSlash(rel), string(text)})
		return err
	})
	if err != nil {
		return err
	}
	return m.classify()
}

// classify names the licences by their texts.
func (m *module) classify() error {
	for _, f := range m.files {
		if without(m.Path, f.name) {
			continue
		}
		name := licenceOf(f.text)
		if name == "" {
			return fmt.Errorf("%s: %s is of no licence that is known to be permissive; look at it, and add it to .ci/licences.go or leave the module", m.Path, f.name)
		}
		if !slices.Contains(m.licences, name) {
			m.licences = append(m.licences, name)
		}
	}
	if len(m.licences) == 0 {
		return fmt.Errorf("%s: there is no licence in it", m.Path)
	}
	slices.Sort(m.licences)
	return nil
}

// without lists the files that grant nothing of what the binary holds, or that
// only gather what other files say, each looked at by hand.
func without(module, name string) bool {
	switch {
	case name == "PATENTS": // more is granted, nothing is asked for
		return true
	case module == "modernc.org/memory" && name == "LICENSE-LOGO": // a picture that is in no binary
		return true
	case strings.HasSuffix(name, "3RD-PARTY.md"): // lists; what is linked of it is MIT, BSD or public domain
		return true
	case module == "github.com/golang/freetype" && name == "licenses/gpl.txt": // the other one of a choice of two
		return true
	case module == "gonum.org/v1/gonum" && name == "THIRD_PARTY_LICENSES/W3C-TestSuite-LICENSE": // only its tests
		return true
	case module == "gonum.org/v1/gonum" && name == "THIRD_PARTY_LICENSES/Bogaert-LICENSE": // of integrate/quad, which is in no binary
		return true
	}
	return false
}

// licenceOf tells a permissive licence by a sentence that no other has; "" for
// any other text. Source: the texts at spdx.org/licenses.
func licenceOf(text string) string {
	text = strings.Join(strings.Fields(strings.ReplaceAll(text, "*", " ")), " ")
	has := func(s string) bool { return strings.Contains(text, s) }
	switch {
	case has("your choice of exactly one of the following two licenses: The FreeType License"), has("The FreeType Project LICENSE"):
		return "FTL"
	case has("GNU GENERAL PUBLIC LICENSE"), has("GNU LESSER GENERAL PUBLIC"), has("Mozilla Public License"):
		return ""
	case has("Apache License Version 2.0"):
		return "Apache-2.0"
	case has("Boost Software License - Version 1.0"):
		return "BSL-1.0"
	case has("Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated documentation files"):
		return "MIT"
	case has("Redistribution and use in source and binary forms, with or without modification, are permitted"):
		if has("Neither the name") || has("may not be used to endorse or promote") || has("may be used to endorse or promote") {
			return "BSD-3-Clause"
		}
		return "BSD-2-Clause"
	case has("Permission to use, copy, modify, and distribute this software for any purpose with or without fee is hereby granted"):
		return "ISC"
	case has("Permission to use, copy, modify, and distribute this software is freely granted"):
		return "SunPro"
	case has("This is free and unencumbered software released into the public domain"):
		return "Unlicense"
	case has("SIL Open Font License, Version 1.1"):
		return "OFL-1.1"
	case has("Creative Commons Attribution 4.0"):
		return "CC-BY-4.0"
	case has("SQLite Is Public Domain"):
		return "public domain"
	}
	return ""
}

func writeTable(w io.Writer, modules []*module) {
	fmt.Fprint(w, `# What a release is made of

Topnote itself is under the MIT licence (LICENSE). Its binary holds these modules
as well, on Linux, macOS or Windows, and so do the files that `+"`topnote page`"+` writes;
tests and tools use more, which no binary holds. All of their licences are permissive: they ask to be named and reproduced,
which LICENCES.txt in every release archive does in full.

`+"`go run .ci/licences.go`"+` makes this page and fails on a licence that is missing, not
known or not permissive; .ci/run checks that the page is what it makes.

| module | version | licences |
| --- | --- | --- |
`)
	for _, m := range modules {
		version := m.Version
		if version == "" {
			version = "that of the build"
		}
		fmt.Fprintf(w, "| %s | %s | %s |\n", m.Path, version, strings.Join(m.licences, ", "))
	}
	fmt.Fprint(w, `
Licences by their names at spdx.org: BSL-1.0 is the Boost licence, FTL the FreeType
licence (of a choice of two), OFL-1.1 that of the fonts in the pictures, CC-BY-4.0
that of the SVG writer, which asks for the name of its author. SunPro is the notice
of a few numerical routines; it asks only to be kept.
`)
}

func writeTexts(w io.Writer, modules []*module) {
	for _, m := range modules {
		for _, f := range m.files {
			fmt.Fprintf(w, "==== %s %s: %s\n\n%s\n\n", m.Path, m.Version, f.name, strings.TrimSpace(f.text))
		}
	}
}
