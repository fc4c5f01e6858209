package api

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// Verification is what was found of a portfolio.
type Verification struct {
	Verdict string             `json:"verdict" about:"genuine; genuine, time stated by the centre only; altered; or cannot tell."`
	Why     string             `json:"why,omitzero" about:"What was altered, or why it cannot be told."`
	Subject []string           `json:"subject" about:"Whose portfolio the file says that it is, in lines; none where that cannot be read."`
	Lines   []VerificationLine `json:"lines"`
}

// VerificationLine is one check.
type VerificationLine struct {
	What  string `json:"what"`
	State string `json:"state" about:"holds, broken, cannot tell, not checked or noted."`
	Words string `json:"words"`
}

type verifyQuery struct {
	Key     string `query:"key" validate:"omitempty,max=500" about:"The public key of the centre's decision log; without it those of the logs that are kept here."`
	Witness string `query:"witness" validate:"omitempty,max=500" about:"The public key of a witness whose signature counts."`
	Later   string `query:"later" validate:"omitempty,max=6000" about:"A later state of the log that the witness signed, as the centre gives it out."`
}

func (s *service) verifyPortfolio(ctx context.Context, _ account.Caller, _ none, q verifyQuery, b broughtFile) (Verification, error) {
	v, err := s.app.VerifyPortfolio(ctx, b, app.Known{Keys: q.Key, Witnesses: q.Witness, Later: q.Later})
	return Verification{
		Verdict: string(v.Word), Why: v.Why, Subject: append([]string{}, v.Subject...),
		Lines: each(v.Lines, func(l app.VerifiedLine) VerificationLine { return VerificationLine{l.What, string(l.State), l.Words} }),
	}, err
}
