package crash_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// withoutGuard are the goroutines of the program that have none, each with the reason.
var withoutGuard = map[string]string{
	"cmd/shedlight/play.go: atSignal":         "it waits, and ends the session or the program",
	"cmd/shedlight/learn.go: agrees":          "it reads a line of the player",
	"cmd/shedlight/review_many.go: inOrder":   "it starts others, which have one",
	"listen/internal/driver/thread.go: start": "its calls have one",
	"listen/sound/audio.go: begin":            inSound,
	"listen/sound/audio.go: drop":             inSound,
	"listen/sound/midi.go: newMIDI":           inSound,
	"listen/sound/report.go: newReports":      inSound,
	"listen/sound/serve.go: serve":            inSound,
	"listen/sound/serve.go: within":           inSound,
}

const inSound = "a crash in the sound process ends that alone"

// Every goroutine that the program starts defers a Guard, or is one of those above.
func TestEveryGoroutineHasAGuard(t *testing.T) {
	bodies := map[string][]*ast.BlockStmt{} // of all that is called so in a folder
	type start struct {
		dir, place string
		call       *ast.CallExpr
	}
	var starts []start
	root := "../.."
	require.NoError(t, filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if entry.IsDir() && (entry.Name() == "jacktest" || entry.Name() == "listentest") { // for tests
			return fs.SkipDir
		}
		if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		path, _ = filepath.Rel(root, path)
		for _, decl := range file.Decls {
			f, is := decl.(*ast.FuncDecl)
			if !is || f.Body == nil {
				continue
			}
			name := filepath.Dir(path) + " " + f.Name.Name
			bodies[name] = append(bodies[name], f.Body)
			ast.Inspect(f.Body, func(n ast.Node) bool {
				if g, is := n.(*ast.GoStmt); is {
					starts = append(starts, start{dir: filepath.Dir(path), place: filepath.ToSlash(path) + ": " + f.Name.Name, call: g.Call})
				}
				return true
			})
		}
		return nil
	}))
	require.NotEmpty(t, starts)
	var bare []string
	for _, s := range starts {
		var run []*ast.BlockStmt
		switch f := s.call.Fun.(type) {
		case *ast.FuncLit:
			run = append(run, f.Body)
		case *ast.SelectorExpr:
			run = bodies[s.dir+" "+f.Sel.Name]
		}
		require.NotEmpty(t, run, s.place)
		if slices.ContainsFunc(run, func(b *ast.BlockStmt) bool { return !slices.ContainsFunc(b.List, isGuard) }) {
			bare = append(bare, s.place)
			require.Contains(t, withoutGuard, s.place, "a goroutine without crash.Guard")
		}
	}
	for place := range withoutGuard {
		require.Contains(t, bare, place, "it has a guard, or is no more")
	}
}

// isGuard reports whether a statement is defer crash.Guard(...).
func isGuard(s ast.Stmt) bool {
	deferred, is := s.(*ast.DeferStmt)
	if !is {
		return false
	}
	f, is := deferred.Call.Fun.(*ast.SelectorExpr)
	if !is || f.Sel.Name != "Guard" {
		return false
	}
	of, is := f.X.(*ast.Ident)
	return is && of.Name == "crash"
}
