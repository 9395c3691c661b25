package storetest_test

import (
	"testing"

	"ledgehand/session"
	"ledgehand/session/storetest"
)

func TestContractInMemory(t *testing.T) {
	storetest.Run(t, func(testing.TB) (session.Store, session.Leases) {
		m := storetest.NewMemory()
		return m, m
	})
}
