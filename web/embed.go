// Package web holds what the pages are made of, embedded in the program: page templates, style sheet and scripts.
package web

import "embed"

// Files holds page/*.html, the templates that internal/ui fills in, and static/*, which is served as it is.
//
//go:embed page/*.html static/*
var Files embed.FS
