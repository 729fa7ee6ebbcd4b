//go:build !race

package sim

// racing tells that this is built for the race detector.
const racing = false
