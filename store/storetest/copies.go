package storetest

import "testing"

func testCopy(t *testing.T, w *world) {}

func testTornCopy(t *testing.T, w *world) {}
