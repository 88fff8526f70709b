//go:build unix && !jack

package main

// asPlayer does nothing: without JACK no test needs a player.
func asPlayer() {}

// buildEnvironment is that of a build without a C compiler.
func buildEnvironment() []string { return []string{"CGO_ENABLED=0"} }
