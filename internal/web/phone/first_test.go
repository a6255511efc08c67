package phone

import (
	"reflect"
	"strings"
	"testing"
)

// TestFirstPages: the pages that come first are those of a program without a book, need
// nothing of it but what is named below the mark, carry the content policy, and are the
// same bytes each time.
func TestFirstPages(t *testing.T) {
	pages, err := FirstPages()
	if err != nil {
		t.Fatal(err)
	}
	again, err := FirstPages()
	if err != nil || !reflect.DeepEqual(pages, again) {
		t.Errorf("the second time they are others, %v", err)
	}
	for path, want := range map[string]string{"/": `id="record"`, "/live": `id="engine"`} {
		p := pages[path]
		if !strings.Contains(p.Body, want) || !strings.Contains(p.Body, `src="`+BaseMark+`/static/`) || strings.Contains(p.Body, `="/`) {
			t.Errorf("%s is\n%s", path, p.Body)
		}
		kinds := map[string]bool{}
		for _, h := range p.Headers {
			kinds[h[0]] = h[1] != ""
		}
		if !kinds["Content-Security-Policy"] || !kinds["Content-Type"] {
			t.Errorf("%s has only the headers %v", path, p.Headers)
		}
	}
}
