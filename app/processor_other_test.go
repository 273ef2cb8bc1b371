//go:build !unix

package app

import "time"

var start = time.Now()

// processorTime is the time that has passed, where nothing better is known.
func processorTime() time.Duration { return time.Since(start) }
