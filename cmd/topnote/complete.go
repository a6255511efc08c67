package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"topnote/internal/book"
	"topnote/internal/engine"
)

// newCompletion builds "topnote completion".
func newCompletion(s streams) *cobra.Command {
	shells := []string{"bash", "zsh", "fish", "powershell"}
	return &cobra.Command{
		Use:                   "completion SHELL",
		Short:                 completionShort,
		Long:                  completionLong,
		Example:               completionExample,
		DisableFlagsInUseLine: true,
		ValidArgsFunction:     cobra.FixedCompletions(shells, cobra.ShellCompDirectiveNoFileComp),
		RunE: func(c *cobra.Command, args []string) error {
			switch len(args) {
			case 0:
				return refuseShell("", shells)
			case 1:
			default:
				return refuseArgument(args[1])
			}
			return s.print(func(w io.Writer) error { return writeCompletion(c.Root(), args[0], shells, w) })
		},
	}
}

// writeCompletion writes what a shell reads to complete command lines.
func writeCompletion(root *cobra.Command, shell string, shells []string, w io.Writer) error {
	const described = true // each word with what it does
	switch shell {
	case "bash":
		return root.GenBashCompletionV2(w, described)
	case "zsh":
		return root.GenZshCompletion(w)
	case "fish":
		return root.GenFishCompletion(w, described)
	case "powershell":
		return root.GenPowerShellCompletionWithDesc(w)
	}
	return refuseShell(shell, shells)
}

// isCompletion reports whether a shell runs the program to complete a command line.
// Only then are the completions registered, which takes a millisecond.
func isCompletion(args []string) bool {
	return len(args) > 0 && (args[0] == cobra.ShellCompRequestCmd || args[0] == cobra.ShellCompNoDescRequestCmd)
}

// forms gives the forms of the result that each command has.
func forms() map[string][]string {
	return map[string][]string{
		"topnote measure":           formats(),
		"topnote listen":            {formatText, formatJSON},
		"topnote compare":           {formatText, formatJSON, formatHTML},
		"topnote air":               {formatText, formatJSON},
		"topnote book passes":       {formatText, formatJSON},
		"topnote book show":         {formatText, formatJSON},
		"topnote book why":          {formatText, formatJSON},
		"topnote book trend":        {formatText, formatJSON, formatCSV},
		"topnote book machine list": {formatText, formatJSON},
	}
}

// completeFlags registers what the shell offers after the flags of a command and of
// those below it. Where nothing is registered it offers files.
func completeFlags(c *cobra.Command) {
	none := cobra.FixedCompletions(nil, cobra.ShellCompDirectiveNoFileComp)
	fixed := func(values ...string) cobra.CompletionFunc {
		return cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp)
	}
	endings := func(endings ...string) cobra.CompletionFunc {
		return cobra.FixedCompletions(endings, cobra.ShellCompDirectiveFilterFileExt)
	}
	offers := map[string]cobra.CompletionFunc{
		"strokes": fixed("2", "4"), "units": fixed("metric", "us"), "format": fixed(forms()[c.CommandPath()]...),
		"plot": endings("png", "svg"), "summary": endings("csv"), "save": endings("wav"), "book": endings("sqlite"), "machine": offerMachines,
		"filter-drop": fixed(assumedDrop),
	}
	for _, name := range []string{"limit", "idle", "clutch", "cylinders", "plot-size", "air", "h", "l", "idle-screw", "filter-note",
		"fuel-note", "who", "date", "temp", "rh", "dew-point", "altitude", "pressure", "qnh", "since", "venturi-drop", "notes", "name", "listen", "rate", "channels"} {
		offers[name] = none
	}
	for _, f := range engine.Fields {
		offers[f.Name] = fixed(f.Choices...) // none for a number
	}
	for name, offer := range offers {
		if c.LocalFlags().Lookup(name) == nil {
			continue
		}
		if err := c.RegisterFlagCompletionFunc(name, offer); err != nil {
			panic(err) // the same flag twice
		}
	}
	for _, below := range c.Commands() {
		completeFlags(below)
	}
}

// completeArgs registers what the shell offers as arguments.
func completeArgs(root *cobra.Command) {
	none := cobra.FixedCompletions(nil, cobra.ShellCompDirectiveNoFileComp)
	for path, offer := range map[string]cobra.CompletionFunc{
		"air": none, "sample": none, "serve": none, "book export": none, "book machine list": none, "book machine add": none,
		"book passes": offerMachines, "book trend": offerMachines, "book machine show": offerMachines, "book machine edit": offerMachines,
		"book show": offerPasses, "book why": offerPasses,
		"book import": cobra.FixedCompletions([]string{"json"}, cobra.ShellCompDirectiveFilterFileExt),
	} {
		c, rest, err := root.Find(strings.Fields(path))
		if err != nil || len(rest) > 0 {
			panic("there is no command " + path)
		}
		c.ValidArgsFunction = offer
	}
}

// offerMachines offers the names of the machines in the book.
func offerMachines(c *cobra.Command, _ []string, _ string) ([]string, cobra.ShellCompDirective) {
	return offerFrom(c, func(b *book.Book) (names []string, err error) {
		machines, err := b.Machines()
		for _, m := range machines {
			names = append(names, m.Name)
		}
		return names, err
	})
}

// offerPasses offers the numbers of the passes in the book, with day and
// machine.
func offerPasses(c *cobra.Command, _ []string, _ string) ([]string, cobra.ShellCompDirective) {
	return offerFrom(c, func(b *book.Book) (numbers []string, err error) {
		passes, err := b.Passes("")
		for _, p := range passes {
			numbers = append(numbers, fmt.Sprintf("%d\t%s %s", p.Number, p.Recorded.Format("2006-01-02"), p.Machine))
		}
		return numbers, err
	})
}

// offerFrom offers what is read from the book of the command line, and nothing
// where it cannot be read: a shell shows no errors.
func offerFrom(c *cobra.Command, read func(*book.Book) ([]string, error)) ([]string, cobra.ShellCompDirective) {
	const nothing = cobra.ShellCompDirectiveNoFileComp
	job := bookJob{}
	if f := c.Flag("book"); f != nil {
		job.path = f.Value.String()
	}
	b, err := job.open()
	if err != nil {
		return nil, nothing
	}
	defer b.Close() // nothing was written
	offers, err := read(b)
	if err != nil {
		return nil, nothing
	}
	return offers, nothing
}
