package embedded

import (
	"fmt"

	"github.com/alicebob/miniredis/v2"
)

// Start opens a Redis inside this process, on a free port of the loopback address. stop ends it and all it holds:
// nothing is written anywhere. It does not age keys by itself and knows no memory limit. Nobody's safety may ever hang
// on it; say so to the user.
func Start() (addr string, stop func(), err error) {
	m := miniredis.NewMiniRedis()
	if err := m.Start(); err != nil {
		return "", nil, fmt.Errorf("start redis inside this process: %w", err)
	}
	return m.Addr(), m.Close, nil
}
