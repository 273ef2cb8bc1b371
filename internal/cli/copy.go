package cli

import (
	"fmt"
	"maps"
	"slices"
)

// keepFlags say where everything is kept.
type keepFlags struct {
	Data     string `required:"" placeholder:"DIR" help:"Folder that keeps everything, as given to serve."`
	Postgres string `placeholder:"URL" help:"PostgreSQL database that keeps everything but the pictures, as given to serve."`
	bucketFlag
}

func (k keepFlags) keeping(r *run) Keeping {
	to := Keeping{Data: k.Data, Postgres: k.Postgres, Log: r.Stderr}
	k.into(&to, r)
	return to
}

// bucketFlag says where pictures are kept when not in a folder.
type bucketFlag struct {
	Bucket string `placeholder:"URL" help:"Bucket for the pictures instead of a folder, of any object store that speaks the S3 protocol: https://store.example/bucket/prefix. Its key is taken from ELBOWROOM_BUCKET_KEY and ELBOWROOM_BUCKET_SECRET."`
}

// into adds the bucket with its key.
func (b bucketFlag) into(k *Keeping, r *run) {
	k.Bucket, k.Key, k.Secret = b.Bucket, r.Env("ELBOWROOM_BUCKET_KEY"), r.Env("ELBOWROOM_BUCKET_SECRET")
}

// Copied is what a copy holds.
type Copied struct {
	Rows     map[string]int
	Pictures int
	Bytes    int64
}

// backupCmd copies everything that is kept.
type backupCmd struct {
	keepFlags
	To string `arg:"" placeholder:"PATH" help:"New folder, or new file that ends in .zip."`
}

// Help stands under the usage of backup.
func (backupCmd) Help() string {
	return "The server may run meanwhile: the copy is of one moment. A copy is plain files, which other programs can read: " +
		"one row a line as JSON, guides as they are written, pictures as they came. It holds customers and hashes of passwords: keep it where only you can read it."
}

// restoreCmd reads a copy into an empty store.
type restoreCmd struct {
	keepFlags
	From string `arg:"" placeholder:"PATH" help:"Folder or .zip that backup has made."`
}

// Help stands under the usage of restore.
func (restoreCmd) Help() string {
	return "The whole copy is checked first. One that is torn or altered, or that a newer program has made, is refused, and so is a store with something in it; nothing is changed then. " +
		"A copy of either kind of store can be read into the other."
}

// copyAnswer is the JSON of backup and restore.
type copyAnswer struct {
	Path     string       `json:"path" says:"the copy"`
	Rows     []copiedRows `json:"rows" says:"how many of each thing"`
	Pictures int          `json:"pictures" says:"how many pictures"`
	Bytes    int64        `json:"bytes" says:"size of all files of the copy"`
}

// copiedRows is how many of one thing a copy holds.
type copiedRows struct {
	What  string `json:"what" says:"what it is"`
	Count int    `json:"count" says:"how many"`
}

// Run makes the copy.
func (c *backupCmd) Run(r *run) error {
	sum, err := r.Backup(r.ctx, c.keeping(r), c.To)
	if err != nil {
		return err
	}
	return r.copied("Copied to", c.To, sum)
}

// Run reads the copy.
func (c *restoreCmd) Run(r *run) error {
	sum, err := r.Restore(r.ctx, c.keeping(r), c.From)
	if err != nil {
		return err
	}
	return r.copied("Restored from", c.From, sum)
}

// copied says what was copied.
func (r *run) copied(verb, path string, sum Copied) error {
	rows := []copiedRows{}
	for _, name := range slices.Sorted(maps.Keys(sum.Rows)) {
		rows = append(rows, copiedRows{name, sum.Rows[name]})
	}
	if r.cli.JSON {
		return r.json(copyAnswer{path, rows, sum.Pictures, sum.Bytes})
	}
	p := r.page()
	p.line(verb + " " + path)
	for _, row := range rows {
		p.line(fmt.Sprintf("  %6d %s", row.Count, row.What))
	}
	p.line(fmt.Sprintf("  %6d pictures, %d bytes in all", sum.Pictures, sum.Bytes))
	return r.show(p)
}
