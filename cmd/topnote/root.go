package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// run carries out one command line and gives its exit status. An error is written
// to the error stream as one line. When ctx is cancelled, commands stop between
// two files, so that none is left half written.
func run(ctx context.Context, args []string, s streams) status {
	result := measured
	root := newRoot(s, &result)
	if isCompletion(args) {
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

// newRoot builds the tree of commands. A command that succeeds stores its exit
// status in result.
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
			return &usageError{"no command was given", doHelp}
		},
	}
	root.SetVersionTemplate("topnote {{.Version}}\n")
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return flagError(err) })
	root.AddCommand(newMeasure(s, result), newListen(s, result), newCompare(s, result), newSample(s), newAir(s), newBook(s), newServe(s), newPage(s), newCompletion(s))
	root.CompletionOptions.DisableDefaultCmd = true
	root.InitDefaultHelpCmd()
	refuseUnknownHelp(root)
	return root
}

// refuseUnknownHelp has "topnote help" refuse what is no command, as all else does: the
// library's own shows the help of the program instead.
func refuseUnknownHelp(root *cobra.Command) {
	for _, c := range root.Commands() {
		if c.Name() != "help" {
			continue
		}
		show := c.Run
		c.Run, c.RunE = nil, func(c *cobra.Command, args []string) error {
			if _, rest, err := root.Find(args); err != nil || len(rest) > 0 {
				return noCommand(c, args)
			}
			show(c, args)
			return nil
		}
	}
}

// noCommand refuses an unknown command.
func noCommand(_ *cobra.Command, args []string) error {
	if len(args) > 0 {
		return &usageError{fmt.Sprintf("there is no command %q", args[0]), doHelp}
	}
	return nil
}

// flagError words an error of the flag library for people.
func flagError(err error) error {
	var invalid *pflag.InvalidValueError
	var unknown *pflag.NotExistError
	var missing *pflag.ValueRequiredError
	switch {
	case errors.As(err, &invalid):
		return invalidValue(invalid)
	case errors.As(err, &unknown):
		return &usageError{fmt.Sprintf("there is no flag %s", dashed(unknown.GetSpecifiedName())), doHelp}
	case errors.As(err, &missing):
		return &usageError{fmt.Sprintf("--%s needs a value", missing.GetFlag().Name), doHelp}
	default:
		return &usageError{err.Error(), doHelp}
	}
}

// invalidValue says why a flag cannot have a value. The flags for whole numbers and
// switches are the library's own, and so are the words of their errors.
func invalidValue(err *pflag.InvalidValueError) error {
	flag, value := err.GetFlag(), err.GetValue()
	switch flag.Value.Type() {
	case "int":
		return refuseNumber(flag.Name, value)
	case "bool":
		return refuseSwitch(flag.Name, value)
	}
	return usageErrorOf("--"+flag.Name, value, err.Unwrap())
}

func dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}
