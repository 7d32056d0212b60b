package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"os"
	"strings"
	"time"

	"cupel/internal/answer"
	"cupel/internal/board/boardfile"
	"cupel/internal/desk"
	"cupel/internal/dossier/folder"
	"cupel/internal/pages"
	"github.com/spf13/cobra"
)

// serving are the flags of serve.
type serving struct {
	addr    string
	lan     bool
	workers int
}

// anyPort lets the system choose one that is free.
const anyPort = "127.0.0.1:0"

func (q *serving) flags(c *cobra.Command) {
	c.Flags().StringVar(&q.addr, "addr", anyPort, "the loopback address `HOST:PORT` to serve on; port 0 takes a free one")
	c.Flags().BoolVar(&q.lan, "lan", false, "let other devices of this network in, with the PIN that is then printed here")
}

func (a *app) serveCommand() *cobra.Command {
	var q serving
	c := &cobra.Command{
		Use: "serve [DIR] [--addr HOST:PORT] [--lan]", GroupID: groupOpen,
		Short: "open a dossier as pages in the browser of this machine",
		Long: `Serve the pages of a dossier on loopback, print their address and go on until interrupted. DIR may be
empty or not there yet: the pages begin a dossier. Every action is saved at once, and the dossier is locked
meanwhile. With --lan other devices of this network come in at the second address, with the PIN.`,
		Example: "cupel serve sluice-5s --addr 127.0.0.1:8040",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			dir, err := served(args)
			if err != nil {
				return err
			}
			return a.serve(c.Context(), dir, q)
		},
	}
	q.flags(c)
	c.Flags().IntVar(&q.workers, "workers", 0, workersUsage)
	return c
}

// served is the folder to serve: one that is named may be begun, the present one
// must hold a board or nothing at all.
func served(args []string) (string, error) {
	if len(args) > 0 {
		return args[0], nil
	}
	if _, err := os.Stat(boardfile.Name); err == nil {
		return ".", nil
	}
	if held, err := os.ReadDir("."); err == nil && len(held) == 0 {
		return ".", nil
	}
	return where(nil)
}

// serve opens the dossier and serves it until ctx ends.
func (a *app) serve(ctx context.Context, dir string, q serving) (err error) {
	l, err := loopback(q.addr)
	if err != nil {
		return err
	}
	d, err := desk.Open(dir)
	if err != nil {
		l.Close()
		var used *folder.InUse
		if errors.As(err, &used) {
			return wrong("", "%w", used)
		}
		return wrong("", "%w", err)
	}
	defer func() { err = errors.Join(err, d.Close()) }()
	s, err := pages.New(pages.Options{Desk: d, Workers: q.workers})
	if err != nil {
		l.Close()
		return err
	}
	if err := a.serves(d.Now(), l.Addr(), q.lan); err != nil {
		l.Close()
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	wait, err := a.letIn(ctx, s, q.lan)
	if err != nil {
		l.Close()
		return err
	}
	err = s.Serve(ctx, l)
	stop()
	return errors.Join(err, wait())
}

// letIn opens the pages to other devices where that was asked for. The PIN is
// written to stderr and nowhere else. wait returns when that has ended.
func (a *app) letIn(ctx context.Context, s *pages.Server, lan bool) (wait func() error, err error) {
	if !lan {
		return func() error { return nil }, nil
	}
	l, err := net.Listen("tcp", ":0")
	if err != nil {
		return nil, wrong("", "%w", err)
	}
	pin, serve, err := s.LAN(ctx, l, time.Now)
	if err != nil {
		l.Close()
		return nil, err
	}
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		return nil, errors.Join(err, l.Close())
	}
	fmt.Fprintf(a.Err, "Other devices of this network come in at\n")
	for _, host := range addresses() {
		fmt.Fprintf(a.Err, "  http://%s/\n", net.JoinHostPort(host, port))
	}
	fmt.Fprintf(a.Err, "with the PIN %s. What goes over the network is not encrypted: use one you trust.\n", pin)
	ended := make(chan error, 1)
	go func() {
		err := serve()
		if ctx.Err() == nil {
			fmt.Fprintln(a.Err, "No other device is let in any more: the PIN was guessed wrong too often. Start anew with --lan for another.")
		}
		ended <- err
	}()
	return func() error { return <-ended }, nil
}

// addresses are those by which other devices of the network reach this machine.
func addresses() []string {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	var out []string
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
			out = append(out, n.IP.String())
		}
	}
	return out
}

// serves says where the pages are, on one line whatever the form: who started
// this waits for it.
func (a *app) serves(now desk.State, at net.Addr, lan bool) error {
	url := "http://" + at.String() + "/"
	if !a.json {
		return a.deliver([]byte(url + "\n"))
	}
	line, err := json.Marshal(answer.Serve{Head: answer.NewHead("serve", now.Dossier.Board.Name, now.Dossier.Hash), URL: url, LAN: lan})
	if err != nil {
		return err
	}
	return a.deliver(append(line, '\n'))
}

// loopback listens on an address of this machine alone.
func loopback(addr string) (net.Listener, error) {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, wrong("write it as 127.0.0.1:8040", "--addr: %q is no address", addr)
	}
	if ip := net.ParseIP(strings.Trim(host, "[]")); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return nil, wrong("name 127.0.0.1, ::1 or localhost; other devices come in by --lan", "--addr: %s is no address of this machine alone", host)
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, wrong("name another port, or 0 for a free one", "%w", err)
	}
	return l, nil
}
