// Command stopvolt measures how far each way of reading a stopping voltage
// from a photocell's curve puts h/e from the truth, by simulating the cell, and
// runs the same readings on measured curves.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"stopvolt/cmd/stopvolt/internal/console"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	// The first signal asks for a clean stop; a second one ends the program at
	// once, also where nothing listens for the first.
	context.AfterFunc(ctx, stop)
	code := execute(ctx, console.New(os.Stdin, os.Stdout, os.Stderr), os.Args[1:])
	stop()
	os.Exit(code)
}
