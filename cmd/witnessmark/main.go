// Command witnessmark is the program: the server, its demonstration, and the tools that work on files alone.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/alecthomas/kong"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second Ctrl-C does not wait for what is under way
	err := run(ctx, os.Args[1:], os.Getenv, os.Stdout)
	stop()
	if err == nil {
		return
	}
	if text := err.Error(); text != "" {
		fmt.Fprintln(os.Stderr, text)
	}
	os.Exit(exitCode(err))
}

// exit is an error that has said all it had to say: only its code is left.
type exit int

func (e exit) Error() string { return "" }

func exitCode(err error) int {
	var e exit
	if errors.As(err, &e) {
		return int(e)
	}
	return 1
}

// commands is the command line. Every setting has a flag, and those of an installation a variable too.
type commands struct {
	Demo    demoCmd    `cmd:"" help:"Start the demonstration centre on this machine: its own PostgreSQL, people, briefs and attempts."`
	Serve   serveCmd   `cmd:"" help:"Serve a real installation."`
	Migrate migrateCmd `cmd:"" help:"Bring the database up to this program's tables."`
	Invite  inviteCmd  `cmd:"" help:"Open a centre and print the link with which its first manager chooses a password."`
	Doctor  doctorCmd  `cmd:"" help:"Say what is missing or unsafe in an installation."`
	Backup  backupCmd  `cmd:"" help:"Write database, evidence and, where asked, keys into a folder, while the program goes on."`
	Restore restoreCmd `cmd:"" help:"Bring a backup back into an empty installation."`
	Keys    keysCmd    `cmd:"" help:"Look after the keys that decision logs are signed with."`
	Witness witnessCmd `cmd:"" help:"Be a witness of a centre's decision log, from outside."`
	Audit   auditCmd   `cmd:"" help:"Read every entry of the decision logs and say whether anything was changed or removed."`
	Export  exportCmd  `cmd:"" help:"Write a portfolio with its original evidence as a BagIt bag, whose lists sha256sum -c checks."`
	Verify  verifyCmd  `cmd:"" help:"Say whether a portfolio is genuine or was altered: from the file and the centre's public key alone."`
	Check   checkCmd   `cmd:"" help:"Check brief files: what is wrong, with line, column and a caret."`
	Mark    markCmd    `cmd:"" help:"Mark submissions against a brief, without a database: files, or folders of them."`
}

// world is what a command may touch.
type world struct {
	ctx context.Context
	out io.Writer
}

// run does what the command line asks. A test can call it.
func run(ctx context.Context, args []string, env func(string) string, out io.Writer) error {
	done := false
	parser, err := newParser(&commands{}, env, out, func(int) { done = true })
	if err != nil {
		return err
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	k, err := parser.Parse(args)
	if done { // help was asked for and given
		return nil
	}
	if err != nil {
		return fmt.Errorf("%w (witnessmark --help lists the commands, and each has a --help)", err)
	}
	return k.Run(&world{ctx: ctx, out: out})
}

// newParser reads the command line into c. exited is called where help was all that was asked for.
func newParser(c *commands, env func(string) string, out io.Writer, exited func(int)) (*kong.Kong, error) {
	parser, err := kong.New(c, kong.Name("witnessmark"),
		kong.Description("Sets practical tasks, takes evidence, re-runs every calculation, records who judged what, and puts together a portfolio that stands up."),
		kong.Writers(out, out), kong.Exit(exited), kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
		kong.ValueFormatter(withVariable), kong.Resolvers(fromVariables(env)))
	if err != nil {
		return nil, fmt.Errorf("prepare the command line: %w", err)
	}
	return parser, nil
}

// variable is the environment variable of a flag, "" where it has none. The tag is our own: kong's would read the process's
// environment behind run's back, and take a variable that is set to nothing for a setting.
func variable(v *kong.Value) string { return v.Tag.Get("variable") }

// withVariable is a flag's help with the variable that stands for it.
func withVariable(v *kong.Value) string {
	if name := variable(v); name != "" {
		return v.Help + " ($" + name + ")"
	}
	return v.Help
}

// fromVariables answers flags that were not given from their variables.
func fromVariables(env func(string) string) kong.Resolver {
	return kong.ResolverFunc(func(_ *kong.Context, _ *kong.Path, f *kong.Flag) (any, error) {
		if name := variable(f.Value); name != "" {
			if text := env(name); text != "" {
				return text, nil
			}
		}
		return nil, nil // kong's way to say that there is none
	})
}
