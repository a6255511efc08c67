package api

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"topnote/internal/web/fault"
)

// TestAPIDocs wants every address that docs/api.md asks for to be one of the API,
// and the whole of what it leaves to openapi.yaml to be there.
func TestAPIDocs(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "docs", "api.md"))
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, r := range new(API).Routes() {
		known[regexp.MustCompile(`\{\w+\}`).ReplaceAllString(r.Path, "*")] = true
	}
	asked := regexp.MustCompile(`http://127\.0\.0\.1:8637/api/v1(/[^\s"?]+)`).FindAllStringSubmatch(string(text), -1)
	if len(asked) < 10 {
		t.Fatalf("only %d addresses", len(asked))
	}
	for _, a := range asked {
		path := strings.NewReplacer("/ID", "/*", "/saw%203", "/*", "/passes/1", "/passes/*").Replace(a[1])
		if !known[path] {
			t.Errorf("docs/api.md asks for %s, which is not served", a[1])
		}
	}
	f := fault.Busy(0).Parts()
	if example := `{"error":{"code":"` + f.Code + `","says":"` + f.Says + `","do":"` + f.Do + `"}}`; !strings.Contains(string(text), example) {
		t.Errorf("docs/api.md lacks %s", example)
	}
}
