// Package testdata holds published figures only, as embedded tables, so that
// tests and the self-check read the very same numbers. SOURCES.md beside it
// names each source and the test that uses it. Nothing here is computed by the
// project itself.
package testdata
