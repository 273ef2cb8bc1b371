package cli

import (
	"runtime"

	"elbowroom/guide"
)

// versionCmd prints the version.
type versionCmd struct{}

// versionAnswer is the JSON of version.
type versionAnswer struct {
	Version string `json:"version" says:"of the program"`
	Format  int    `json:"guide_format" says:"format of guides that it writes"`
	Go      string `json:"go" says:"with what it was built"`
}

// Run prints the version.
func (versionCmd) Run(r *run) error {
	v := versionAnswer{r.Program.Version, guide.Format, runtime.Version()}
	if r.cli.JSON {
		return r.json(v)
	}
	p := r.page()
	p.field("elbowroom", v.Version)
	p.field("built with", v.Go)
	return r.show(p)
}
