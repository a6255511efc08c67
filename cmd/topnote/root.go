package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// run carries out one command line and gives its exit status. What went wrong
// stands in one line on the error stream. When ctx ends, commands stop where
// every file is whole.
func run(ctx context.Context, args []string, s streams) status {
	result := measured
	root := newRoot(s, &result)
	if asksToComplete(args) {
		completeFlags(root)
		completeArgs(root)
	}
	root.SetArgs(args)
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return result
	}
	fmt.Fprintln(s.err, errorLine("", err))
	if of := statusOf(err); of != failed {
		return of
	}
	return result.worse(failed)
}

// newRoot builds the tree of commands. A command that succeeds leaves what it
// found in result.
func newRoot(s streams, result *status) *cobra.Command {
	root := &cobra.Command{
		Use:           "topnote",
		Short:         rootShort,
		Long:          rootLong,
		Version:       version(),
		Args:          noCommand,
		SilenceUsage:  true,
		SilenceErrors: true,
		RunE: func(*cobra.Command, []string) error {
			return &usage{"no command was given", doHelp}
		},
	}
	root.SetVersionTemplate("topnote {{.Version}}\n")
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return flagError(err) })
	root.AddCommand(newMeasure(s, result), newCompare(s, result), newSample(s), newAir(s), newBook(s), newServe(s), newCompletion(s))
	root.CompletionOptions.DisableDefaultCmd = true
	return root
}

// noCommand refuses what looks like a command and is none.
func noCommand(_ *cobra.Command, args []string) error {
	if len(args) > 0 {
		return &usage{fmt.Sprintf("there is no command %q", args[0]), doHelp}
	}
	return nil
}

// flagError turns what the flag library says into our words.
func flagError(err error) error {
	var invalid *pflag.InvalidValueError
	var unknown *pflag.NotExistError
	var missing *pflag.ValueRequiredError
	switch {
	case errors.As(err, &invalid):
		return invalidValue(invalid)
	case errors.As(err, &unknown):
		return &usage{fmt.Sprintf("there is no flag %s", dashed(unknown.GetSpecifiedName())), doHelp}
	case errors.As(err, &missing):
		return &usage{fmt.Sprintf("--%s needs a value", missing.GetFlag().Name), doHelp}
	default:
		return &usage{err.Error(), doHelp}
	}
}

// invalidValue says why a flag cannot have a value. The flags that are a whole
// number or none come from the library, whose words are not for people.
func invalidValue(err *pflag.InvalidValueError) error {
	flag, value := err.GetFlag(), err.GetValue()
	switch flag.Value.Type() {
	case "int":
		return refuseNumber(flag.Name, value)
	case "bool":
		return refuseSwitch(flag.Name, value)
	}
	return usageOf("--"+flag.Name, value, err.Unwrap())
}

func dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}
