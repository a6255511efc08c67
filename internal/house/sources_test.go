package house

import (
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the last column of docs/sources.md anew")

const sourcesPage = "docs/sources.md"

// prose gives the text of every Go file and page, by its path from the root, with
// comments run on as one line: a citation may break at the end of a line.
func prose(t *testing.T) map[string]string {
	t.Helper()
	const root = "../.."
	texts := map[string]string{}
	breaks := regexp.MustCompile(`\s*\n\s*(//)?\s*`)
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".go" && filepath.Ext(path) != ".md" {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, path)
		texts[filepath.ToSlash(name)] = breaks.ReplaceAllString(string(text), " ")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	delete(texts, sourcesPage)
	delete(texts, "internal/house/sources_test.go")
	return texts
}

// citation matches what cites a work by its authors and year.
var citation = regexp.MustCompile(`\b[A-Z][a-z]+(?:[A-Z][a-z]+)?(?: [A-Z][a-z]+)?(?: and (?:others|[A-Z][a-z]+))? (?:19|20)\d\d\b`)

// notCited are dates and names of editions that look like citations.
var notCited = regexp.MustCompile(`^(January|February|March|April|May|June|July|August|September|October|November|December|In|Of|On|Since|Edition) `)

// TestSources: every source that is cited has its row in docs/sources.md, every row
// is cited, and its last column says where.
func TestSources(t *testing.T) {
	page := readPage(t, sourcesPage)
	texts := prose(t)
	now, known := withCitations(t, page, texts)
	if len(known) < 50 {
		t.Errorf("only %d sources in %s", len(known), sourcesPage)
	}
	for name, text := range texts {
		for _, cited := range citation.FindAllString(text, -1) {
			partOfKey := func(key string) bool { return strings.Contains(key, cited) } // Directive 2003/10/EC
			if !notCited.MatchString(cited) && !slices.ContainsFunc(known, partOfKey) {
				t.Errorf("%s cites %q, which is not in %s", name, cited, sourcesPage)
			}
		}
		if strings.Contains(text, "from memory") {
			t.Errorf("%s has something from memory: look it up, or say in %s that it is not checked", name, sourcesPage)
		}
	}
	if now == page {
		return
	}
	if !*update {
		t.Errorf("%s does not say where its sources are cited; renew it with go test -run Sources ./internal/house -update", sourcesPage)
		return
	}
	if err := os.WriteFile(filepath.Join("..", "..", sourcesPage), []byte(now), 0o644); err != nil {
		t.Fatal(err)
	}
}

// withCitations gives the page of sources with the files that cite each in its last
// column, and the sources as they are cited.
func withCitations(t *testing.T, page string, texts map[string]string) (now string, known []string) {
	t.Helper()
	lines := strings.Split(page, "\n")
	for i, line := range lines {
		cells := strings.Split(strings.Trim(line, "|"), "|")
		if !strings.HasPrefix(line, "| ") || len(cells) != 5 || strings.HasPrefix(line, "| source") || strings.HasPrefix(line, "| ---") {
			continue
		}
		key := strings.TrimSpace(cells[0])
		known = append(known, key)
		var files []string
		for name, text := range texts {
			if strings.Contains(text, key) {
				files = append(files, strings.TrimPrefix(name, "internal/"))
			}
		}
		slices.Sort(files)
		if len(files) == 0 {
			t.Errorf("%s is cited nowhere", key)
		}
		cells[4] = " " + strings.Join(files, ", ") + " "
		lines[i] = "|" + strings.Join(cells, "|") + "|"
	}
	return strings.Join(lines, "\n"), known
}
