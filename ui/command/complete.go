package command

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"brinkmark/ui/ask"
	"brinkmark/ui/words"
)

// shells are those that completion knows, with how each takes it in.
var shells = []struct {
	name string
	give func(*cobra.Command, *app) error
}{
	{"bash", func(root *cobra.Command, a *app) error { return root.GenBashCompletionV2(a.Out, true) }},
	{"zsh", func(root *cobra.Command, a *app) error { return root.GenZshCompletion(a.Out) }},
	{"fish", func(root *cobra.Command, a *app) error { return root.GenFishCompletion(a.Out, true) }},
	{"powershell", func(root *cobra.Command, a *app) error { return root.GenPowerShellCompletionWithDesc(a.Out) }},
}

func (a *app) completionCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "completion SHELL",
		Short: "a script that lets a shell complete what is typed",
		Long: `Prints a script after which the shell completes commands, flags, files and the
ids of profiles. SHELL is bash, zsh, fish or powershell.

  bash, in ~/.bashrc; the package bash-completion must be installed
    source <(brinkmark completion bash)
  zsh, once; compinit must be on
    brinkmark completion zsh > "${fpath[1]}/_brinkmark"
  fish, once
    brinkmark completion fish > ~/.config/fish/completions/brinkmark.fish
  powershell, in the file that $PROFILE names
    brinkmark completion powershell | Out-String | Invoke-Expression`,
		Example: "brinkmark completion bash",
		Args:    one("SHELL"),
		RunE: func(c *cobra.Command, args []string) error {
			for _, s := range shells {
				if s.name == args[0] {
					return s.give(c.Root(), a)
				}
			}
			return misused("there is no completion for %q", args[0])
		},
	}
	c.ValidArgsFunction = first(func() []string {
		var names []string
		for _, s := range shells {
			names = append(names, s.name)
		}
		return names
	})
	return c
}

// first completes one argument and none after it. The list is kept in its order.
func first(list func() []string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return list(), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	}
}

// files completes one argument with the files of these kinds.
func files(extensions ...string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return extensions, cobra.ShellCompDirectiveFilterFileExt
	}
}

// folders completes one argument with folders.
func folders(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// anyFile leaves it to the shell, which offers files.
func anyFile(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveDefault
}

// profileIDs completes one argument with the ids of the profiles, newest first, and the
// key of each beside it. It writes nothing.
func (a *app) profileIDs(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
	return first(a.picks)(c, args, typed)
}

// profileOrFile completes a flag with the ids of the profiles, or else with files.
func (a *app) profileOrFile(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return a.picks(), cobra.ShellCompDirectiveKeepOrder
}

// picks are the profiles' ids with what each is of. A shell is no place to tell that
// there is no library.
func (a *app) picks() []string {
	library, err := a.open()
	if err != nil {
		return nil
	}
	var list []string
	for _, p := range library.Picks() {
		key := words.OneLine(p.Key())
		list = append(list, fmt.Sprintf("%s\t%s %s", p.ID, p.Began.Format(time.DateOnly), key))
	}
	return list
}

// unfinishedIDs completes one argument with the ids of the trials that are not closed, newest
// first, and what each is of beside it.
func (a *app) unfinishedIDs(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
	return first(func() []string {
		library, err := a.open()
		if err != nil {
			return nil
		}
		open, _, err := ask.Unfinished(library)
		if err != nil {
			return nil
		}
		var list []string
		for _, o := range open {
			list = append(list, o.ID+"\t"+words.OneLine(o.Says(library.Now())))
		}
		return list
	})(c, args, typed)
}

// valueFlags says for each flag that takes a value what completes it; where nothing
// does, no file is offered.
func (a *app) valueFlags(c *cobra.Command, own map[string]cobra.CompletionFunc) {
	c.Flags().VisitAll(func(f *pflag.Flag) {
		complete, known := own[f.Name]
		if !known {
			complete = cobra.NoFileCompletions
		}
		if f.Value.Type() != "bool" {
			_ = c.RegisterFlagCompletionFunc(f.Name, complete) // fails only for a flag that is not there
		}
	})
}
