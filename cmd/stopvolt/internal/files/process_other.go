//go:build !unix

package files

import "os"

// running reports whether a process of this machine is there.
func running(process int) bool {
	p, err := os.FindProcess(process)
	if err != nil {
		return false
	}
	return p.Release() == nil
}
