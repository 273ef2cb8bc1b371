// Command elbowroom plans the way to a part of an engine and back, from the
// command line or in a browser. It only wires: the demonstration is embedded,
// everything else comes from the places that the flags name.
package main

import (
	"context"
	"net/http"
	"os"
	"runtime/debug"
	"time"

	"elbowroom/app"
	"elbowroom/demo"
	"elbowroom/internal/cli"
	"elbowroom/internal/web"
)

func main() {
	var a *app.App
	code := cli.Run(context.Background(), cli.Program{
		Args: os.Args[1:], Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr, Env: os.Getenv, Version: version(),
		Open: func(guides []string, shop string) (cli.UseCases, error) {
			var err error
			a, err = cli.Open(time.Now, cli.Demo{
				Guide: app.Source{Name: "demo", FS: demo.FS(), Dir: demo.GuideDir}, Workshop: demo.Workshop,
			}, guides, shop)
			return a, err
		},
		Handler: func() http.Handler { return web.New(a, web.Options{}) },
		Keep:    keep,
		Backup:  backup,
		Restore: restore,
	})
	os.Exit(int(code))
}

// version is what the build says of itself.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "development"
	}
	return info.Main.Version
}
