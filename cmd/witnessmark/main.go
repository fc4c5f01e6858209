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
	err := run(ctx, os.Args[1:], os.Getenv, os.Stdout)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(exitCode(err))
	}
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
	Check   checkCmd   `cmd:"" help:"Check brief files: what is wrong, with line, column and a caret."`
	Mark    markCmd    `cmd:"" help:"Mark a submission against a brief, without a database."`
}

// world is what a command may touch.
type world struct {
	ctx context.Context
	env func(string) string
	out io.Writer
}

// run does what the command line asks. A test can call it.
func run(ctx context.Context, args []string, env func(string) string, out io.Writer) error {
	var c commands
	done := false
	parser, err := kong.New(&c, kong.Name("witnessmark"),
		kong.Description("Sets practical tasks, takes evidence, re-runs every calculation, records who judged what, and puts together a portfolio that stands up."),
		kong.Writers(out, out), kong.Exit(func(int) { done = true }), kong.UsageOnError(), kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
		kong.Resolvers(fromEnv(env)))
	if err != nil {
		return fmt.Errorf("prepare the command line: %w", err)
	}
	k, err := parser.Parse(args)
	if done { // help was asked for and given
		return nil
	}
	if err != nil {
		return err
	}
	return k.Run(&world{ctx: ctx, env: env, out: out})
}

// fromEnv lets a flag's env tag be answered from env, so that tests need not touch the process's own environment.
func fromEnv(env func(string) string) kong.Resolver {
	return kong.ResolverFunc(func(_ *kong.Context, _ *kong.Path, f *kong.Flag) (any, error) {
		for _, name := range f.Tag.Envs {
			if v := env(name); v != "" {
				return v, nil
			}
		}
		return nil, nil
	})
}
