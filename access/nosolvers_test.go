//go:build !solvers

package access_test

// withSolvers: general-purpose solvers are not asked without the build tag.
const withSolvers = false
