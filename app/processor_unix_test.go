//go:build unix

package app

import (
	"syscall"
	"time"
)

// processorTime is what the program has used of all processors, so that what
// else runs on the machine does not count.
func processorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
