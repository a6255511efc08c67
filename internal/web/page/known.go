package page

import (
	"maps"
	"net/url"
	"slices"

	"topnote/internal/engine"
)

// knownField is a field of what is known of a machine, as a form asks for it.
type knownField struct {
	ID, Label string
	Number    bool
	Value     string // of a number
	Options   []knownOption
}

// knownOption is one answer; its value is "unknown" for none.
type knownOption struct {
	Value, Label string
	Chosen       bool
}

// unknown is how a form says that something is not known; entry.SetField reads it.
const unknown = "unknown"

// knownFields gives the fields of a machine's build, or those of one pass, filled
// with what value gives for the key of each.
func knownFields(ofPass bool, value func(key string) string) []knownField {
	var list []knownField
	for _, f := range engine.Fields {
		if f.OfPass != ofPass {
			continue
		}
		says := fieldWords[f.Name]
		k := knownField{ID: f.Key(), Label: says.label, Number: f.Choices == nil, Value: value(f.Key())}
		if !k.Number {
			for _, c := range f.Choices {
				k.Options = append(k.Options, knownOption{c, says.answer(c), k.Value == c})
			}
			k.Options = append(k.Options, knownOption{unknown, "Not known", k.Value == "" || k.Value == unknown})
		}
		list = append(list, k)
	}
	return list
}

// question is the one question whose answer would change a verdict most.
type question struct {
	Key, Label string
	Answers    []knownOption
	Rest       []pair // the other fields of the form that measures again
}

// pair is a field of a form that is sent along.
type pair struct{ Name, Value string }

// nextPass gives the fields of the next pass of a machine: those of another, without
// what holds for one pass only.
func nextPass(query url.Values) url.Values {
	next := maps.Clone(query)
	for _, f := range engine.Fields {
		if f.OfPass {
			next.Del(f.Key())
		}
	}
	return next
}

// questionOf makes the question that a verdict asks; nil for none. query is what the
// clip was measured with.
func questionOf(asks string, query url.Values) *question {
	for _, f := range engine.Fields {
		if f.Key() != asks {
			continue
		}
		q := &question{Key: asks, Label: fieldWords[f.Name].label}
		for _, c := range f.Choices {
			q.Answers = append(q.Answers, knownOption{Value: c, Label: fieldWords[f.Name].answer(c)})
		}
		for _, name := range slices.Sorted(maps.Keys(query)) {
			if name != asks {
				q.Rest = append(q.Rest, pair{name, query.Get(name)})
			}
		}
		return q
	}
	return nil
}
