package main

import (
	"fmt"
	"os"
	"regexp"
	"strings"
)

// completions are what a shell is told so that it asks this program how a line goes
// on. bash and zsh put the line into COMP_LINE by themselves; where nothing is known
// they, and fish, complete file names.
var completions = map[string]string{
	"bash": "complete -o default -C BIN shedlight\n",
	"zsh": `autoload -U +X bashcompinit && bashcompinit
complete -o default -C BIN shedlight
`,
	"fish": `function __complete_shedlight
    set -lx COMP_LINE (commandline -cp)
    test -z (commandline -ct)
    and set COMP_LINE "$COMP_LINE "
    BIN
end
complete -c shedlight -a "(__complete_shedlight)"
`,
}

// completionCommand prints what makes a shell complete calls of this program.
type completionCommand struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

func (c *completionCommand) Help() string {
	return `Put it where your shell reads it when it starts:
  bash  echo 'source <(shedlight completion bash)' >> ~/.bashrc
  zsh   echo 'source <(shedlight completion zsh)' >> ~/.zshrc
  fish  shedlight completion fish > ~/.config/fish/completions/shedlight.fish`
}

func (c *completionCommand) Run(p *program) error {
	binary, err := os.Executable()
	if err != nil {
		return err
	}
	word := quoted(binary)
	if c.Shell != "fish" { // a word that is read once more, as a command
		word = quoted(word)
	}
	_, err = fmt.Fprint(p.out, strings.ReplaceAll(completions[c.Shell], "BIN", word))
	return err
}

// bare is what every shell reads as it stands.
var bare = regexp.MustCompile(`^[\w@%+=:,./-]+$`)

// quoted writes a word for a shell.
func quoted(word string) string {
	if bare.MatchString(word) {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
