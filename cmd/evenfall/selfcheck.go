package main

import (
	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/selfcheck"
	"evenfall/plots/answers"
)

func (a *app) selfcheckCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "selfcheck",
		Short: "Compute published figures on this machine and show how far off they are",
		Long: `Selfcheck computes figures that standards, handbooks and reference data sets
publish, with the very code that judges your readings. It prints the largest
deviation from each source. It exits with 1 where one is out of bounds.`,
		Example: "  evenfall selfcheck",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			result := selfcheck.Run()
			a.outcome(result.OK)
			return a.answer(result, answers.SelfcheckTable(result, a.words(), a.full))
		},
	}
}
