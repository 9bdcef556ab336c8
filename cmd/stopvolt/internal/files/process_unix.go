//go:build unix

package files

import (
	"errors"
	"syscall"
)

// running reports whether a process of this machine is there.
func running(process int) bool {
	// Signal 0 only asks (POSIX.1-2017, kill); what belongs to another user
	// may not be asked, and is there.
	err := syscall.Kill(process, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
