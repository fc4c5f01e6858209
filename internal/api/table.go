package api

import (
	"net/http"

	"witnessmark/internal/account"
)

// Short names keep a row on a line.
const (
	get    = http.MethodGet
	post   = http.MethodPost
	put    = http.MethodPut
	remove = http.MethodDelete
)

// routes is every operation.
func (s *service) routes() []Route {
	all := s.sessionRoutes()
	all = append(all, s.attemptRoutes()...)
	all = append(all, s.judgingRoutes()...)
	all = append(all, s.workshopRoutes()...)
	all = append(all, s.centreRoutes()...)
	all = append(all, s.ruleRoutes()...)
	all = append(all, s.correctionRoutes()...)
	all = append(all, s.registerRoutes()...)
	all = append(all, s.alikeRoutes()...)
	all = append(all, s.standardRoutes()...)
	all = append(all, s.smallFileRoutes()...)
	all = append(all, s.visitRoutes()...)
	all = append(all, s.keepingRoutes()...)
	all = append(all, s.logRoutes()...)
	all = append(all, s.samplingRoutes()...)
	return all
}

func (s *service) sessionRoutes() []Route {
	return []Route{
		route("openAPI", get, "/api/openapi.json", "", "Gives this document.", s.openAPI),
		slowly(route("signIn", post, "/api/session", "", "Signs a person in; the answer sets the session's cookie.", s.signIn)),
		route("signOut", remove, "/api/session", "", "Signs the person out.", s.signOut),
		route("whoAmI", get, "/api/session", signedIn, "Says who is signed in.", s.whoAmI),
		slowly(route("askForLink", post, "/api/forgotten", "", "Has a link for choosing a password sent to whoever signs in with the name; the answer is the same whether anybody does.", s.askForLink)),
		slowly(route("invited", get, "/api/invitations/{token}", "", "Says whom an invitation is for, without using it up.", s.invited)),
		slowly(route("verifyPortfolio", post, "/api/verify", "", "Says whether a portfolio is genuine or was altered, and what was and was not checked; nothing of it is kept.", s.verifyPortfolio)),
		slowly(route("acceptInvitation", post, "/api/invitations/{token}", "", "Uses an invitation to choose a password, and signs the person in.", s.acceptInvitation)),
	}
}

func (s *service) attemptRoutes() []Route {
	return []Route{
		route("myTasks", get, "/api/tasks", account.SeeOwnTasks, "Lists the tasks set to the caller, each with the newest attempt.", s.myTasks),
		route("sheet", get, "/api/attempts/{id}", account.SeeAttempt, "Gives one attempt as a job sheet.", s.sheet),
		route("openAttempt", post, "/api/attempts/{id}/open", account.OpenAttempt, "Starts an attempt.", s.openAttempt),
		route("recordEntries", post, "/api/attempts/{id}/entries", account.Record, "Keeps what was typed; an entry sent again has no effect.", s.recordEntries),
		route("chooseInstrument", post, "/api/attempts/{id}/instruments", account.Record, "Keeps which instrument the trainee has in hand for a kind that the brief names; the same sent again has no effect.", s.chooseInstrument),
		route("addFile", put, "/api/attempts/{id}/files/{file}", account.Record, "Keeps a photo or document as evidence; the same sent again has no effect.", s.addFile),
		route("handOver", post, "/api/attempts/{id}/hand-over", account.HandOver, "Hands an attempt over to the tutor; sent again it has no effect.", s.handOver),
		route("claimSpot", post, "/api/attempts/{id}/spot-claims", account.Record, "Keeps what a trainee's phone tells of a release on the spot; it counts once the releaser's phone has told the same.", s.claimSpot),
		route("file", get, "/api/files/{id}", account.SeeAttempt, "Gives the bytes of one file: as they were received, or its covered copy where it has one.", s.file),
		route("original", get, "/api/files/{id}/original", account.SeeOriginal, "Gives the bytes of one file as they were received, without covers.", s.original),
		route("nothingToCover", post, "/api/files/{id}/nothing-to-cover", account.CoverFile, "Keeps that somebody looked at a photo and found nothing more to cover; of a private site nothing leaves before that.", s.nothingToCover),
		route("coverFile", post, "/api/files/{id}/cover", account.CoverFile, "Lays further covers over a photo; none is ever taken off.", s.coverFile),
		route("withdrawFile", post, "/api/files/{id}/withdraw", account.WithdrawFile, "Takes the original of a file away for good; its digest, its covered copy and the record of it stay.", s.withdrawFile),
		route("preview", get, "/api/files/{id}/preview", account.SeeAttempt, "Gives the small upright picture of one photo.", s.preview),
	}
}

func (s *service) judgingRoutes() []Route {
	return []Route{
		route("waiting", get, "/api/waiting", account.Decide, "Lists what waits for the caller, the longest wait first.", s.waiting),
		route("stockRemarks", get, "/api/stock-remarks", account.Decide, "Lists the remarks that the caller keeps to put in while marking.", s.stockRemarks),
		route("keepStockRemarks", put, "/api/stock-remarks", account.Decide, "Puts remarks in place of those that the caller kept.", s.keepStockRemarks),
		route("releaseHold", post, "/api/attempts/{id}/release", account.ReleaseHold, "Releases the hold point before a stage.", s.releaseHold),
		route("releaseOnTheSpot", post, "/api/attempts/{id}/spot-releases", account.ReleaseHold, "Keeps what the releaser's phone tells of a release on the spot; it counts once the trainee's phone has told the same.", s.releaseOnTheSpot),
		route("checkReading", post, "/api/attempts/{id}/check-reading", account.EnterCheck, "Records a check reading beside a safety-critical one.", s.checkReading),
		route("decide", post, "/api/attempts/{id}/decide", account.Decide, "Decides one criterion.", s.decide),
		route("takeBack", post, "/api/attempts/{id}/take-back", account.TakeBack, "Takes the decision on a criterion back, before the attempt is signed off or sent back: the criterion is open again.", s.takeBack),
		route("override", post, "/api/attempts/{id}/override", account.Override, "Puts a verdict in place of the marker's, with a reason.", s.override),
		route("askTrainee", post, "/api/attempts/{id}/question", account.Question, "Notes that the trainee is to be asked about a criterion; it keeps the attempt from being signed off or sent back until the answer is there.", s.askTrainee),
		route("answerQuestion", post, "/api/attempts/{id}/answer", account.Question, "Keeps the gist of what the trainee answered.", s.answerQuestion),
		route("countersign", post, "/api/attempts/{id}/countersign", account.Countersign, "Stands behind every decision of an attempt that waits for a countersignature; never behind one's own.", s.countersign),
		route("acknowledge", post, "/api/attempts/{id}/acknowledge", account.Acknowledge, "Keeps that the trainee has read the feedback.", s.acknowledge),
		route("appeal", post, "/api/attempts/{id}/appeal", account.Appeal, "Starts an appeal against an attempt that was sent back.", s.appeal),
		route("settleAppeal", post, "/api/attempts/{id}/settle-appeal", account.SettleAppeal, "Keeps what was found on hearing an appeal, by somebody who had no part in the decisions.", s.settleAppeal),
		route("takeIn", post, "/api/attempts/{id}/take-in", account.TakeIn, "Takes something that came after handing over, and was not on the sealed list, into the set.", s.takeIn),
		route("goOnWithout", post, "/api/attempts/{id}/go-on-without", account.GoOnWithout, "Has an attempt marked although not everything on the sealed list has come.", s.goOnWithout),
		route("signOff", post, "/api/attempts/{id}/sign-off", account.SignOff, "Signs off an attempt whose criteria are all met.", s.signOff),
		route("askForMore", post, "/api/attempts/{id}/more-to-do", account.AskForMore, "Sends an attempt back with more to do, and plans the next one.", s.askForMore),
		route("safetyStop", post, "/api/attempts/{id}/safety-stop", account.SafetyStop, "Stops an attempt for safety: anybody of the centre may, whether they see it or not.", s.safetyStop),
		route("atWork", get, "/api/at-work", account.SeeAtWork, "Lists who is at work now, so that it can be stopped; for a trainee those of their cohorts.", s.atWork),
		route("clearStop", post, "/api/attempts/{id}/clear-safety-stop", account.ClearStop, "Lets a stopped attempt go on.", s.clearStop),
	}
}

func (s *service) ruleRoutes() []Route {
	return []Route{
		route("ruleSets", get, "/api/rules", account.SeeRules, "Lists every edition of the centre's rule sets.", s.ruleSets),
		route("checkRules", post, "/api/rules/check", account.SeeRules, "Says what is wrong with a rule set's text, by itself and beside the set's other editions; nothing is kept.", s.checkRules),
		route("saveRules", post, "/api/rules", account.EnterRules, "Saves a rule set's text as a draft of an edition.", s.saveRules),
		route("rules", get, "/api/rules/{id}", account.SeeRules, "Gives one edition of a rule set with what the checker says of it.", s.rules),
		route("confirmRules", post, "/api/rules/{id}/check", account.CheckRules, "Makes an edition count, by another person than who entered it; from then on it never changes.", s.confirmRules),
		route("ruleReport", get, "/api/rules/{id}/concerned", account.SeeRules, "Lists the briefs and attempts that an edition's changes concern.", s.ruleReport),
		route("markAgain", post, "/api/attempts/{id}/mark-again", account.MarkAgain, "Marks an attempt under another edition of one of its rule sets; the old result is kept.", s.markAgain),
	}
}

func (s *service) centreRoutes() []Route {
	return []Route{
		route("cohorts", get, "/api/cohorts", account.SeeCohorts, "Lists the cohorts that the caller has to do with.", s.cohorts),
		route("addCohort", post, "/api/cohorts", account.ManageCohorts, "Opens an empty cohort.", s.addCohort),
		route("cohort", get, "/api/cohorts/{id}", account.SeeCohorts, "Gives one cohort with its members.", s.cohort),
		route("board", get, "/api/cohorts/{id}/board", account.SeeCohorts, "Gives a cohort's bench board.", s.board),
		route("setBrief", post, "/api/cohorts/{id}/tasks", account.SetBrief, "Sets a published brief version to a cohort, or to some of its trainees, with an attempt for each.", s.setBrief),
		route("addMember", post, "/api/cohorts/{id}/members", account.ManageCohorts, "Puts a person into a cohort.", s.addMember),
		route("removeMember", remove, "/api/cohorts/{id}/members/{person}", account.ManageCohorts, "Takes a person out of a cohort; their attempts stay.", s.removeMember),

		route("briefs", get, "/api/briefs", account.SeeBriefs, "Lists every version of every brief.", s.briefs),
		route("checkBrief", post, "/api/briefs/check", account.SeeBriefs, "Says what is wrong with a brief's text; nothing is kept.", s.checkBrief),
		route("saveBrief", post, "/api/briefs", account.WriteBrief, "Saves a brief's text as its draft, or starts a brief.", s.saveBrief),
		route("brief", get, "/api/briefs/{id}/versions/{version}", account.SeeBriefs, "Gives one version of a brief with what the checker says of it.", s.brief),
		route("publishBrief", post, "/api/briefs/{id}/versions/{version}/publish", account.CheckBrief, "Publishes a draft that somebody else wrote and asks to have checked; from then on it never changes.", s.publishBrief),
		route("askForCheck", post, "/api/briefs/{id}/versions/{version}/ask", account.WriteBrief, "Asks for a draft of one's own to be checked by somebody else.", s.askForCheck),
		route("sendBriefBack", post, "/api/briefs/{id}/versions/{version}/send-back", account.CheckBrief, "Sends a draft that somebody asks to have checked back to them, with what is to be put right.", s.sendBriefBack),
		route("discardBrief", post, "/api/briefs/{id}/versions/{version}/discard", account.WriteBrief, "Throws a draft of one's own away; the brief with it where it has no other version.", s.discardBrief),
		route("units", get, "/api/units", account.SeeBriefs, "Lists the qualification units with their outcomes and criteria.", s.units),

		route("people", get, "/api/people", account.SeePeople, "Lists the people of the centre, or who of them fits a search, a page at a time.", s.people),
		route("addPerson", post, "/api/people", account.ManagePeople, "Adds a person and makes their invitation.", s.addPerson),
		route("inviteAgain", post, "/api/people/{id}/invitation", account.ManagePeople, "Makes a fresh invitation for a person.", s.inviteAgain),
		route("allowSignIn", put, "/api/people/{id}/sign-in", account.ManagePeople, "Lets a person sign in, or keeps them from it and ends their sessions.", s.allowSignIn),

		route("inviteCohort", post, "/api/cohorts/{id}/invitations", account.ManagePeople, "Makes a fresh invitation for everybody of a cohort who has no password yet.", s.inviteCohort),
		route("enterUnit", post, "/api/units", account.EnterUnits, "Enters an edition of a qualification unit, which then stays as it is.", s.enterUnit),
		route("checkPeople", post, "/api/people/list/check", account.ManagePeople, "Says what taking a list of people in would change, or what there is to mend in it; nothing is kept.", s.checkPeople),
		route("importPeople", post, "/api/people/list", account.ManagePeople, "Takes a list of people in, as it was shown.", s.importPeople),
		route("person", get, "/api/people/{id}", account.SeePeople, "Gives a person with what they are registered for, and where they belong.", s.person),
		route("addRegistration", post, "/api/people/{id}/registrations", account.ManagePeople, "Enters a registration, approval or award of somebody else.", s.addRegistration),
		route("endRegistration", put, "/api/people/{id}/registrations", account.ManagePeople, "Gives a registration another last day.", s.endRegistration),
		route("addAwardRegistration", post, "/api/people/{id}/award-registrations", account.ManagePeople, "Enters a trainee's registration with the awarding organisation.", s.addAwardRegistration),
		route("endAwardRegistration", put, "/api/people/{id}/award-registrations/{registration}", account.ManagePeople, "Gives a registration with the awarding organisation its last day, or has it count no longer.", s.endAwardRegistration),
		route("withdrawTrainee", post, "/api/people/{id}/withdrawals", account.WithdrawTrainee, "Withdraws a trainee who left from a cohort, or from every one: what is open of theirs there closes, and they are set nothing more.", s.withdrawTrainee),
		route("takeBackWithdrawal", post, "/api/withdrawals/{id}/back", account.WithdrawTrainee, "Takes a withdrawal back, once: what it closed stands again where it stood.", s.takeBackWithdrawal),
		route("conflicts", get, "/api/conflicts", account.DeclareConflict, "Lists the conflicts of interest that the caller may know of.", s.conflicts),
		route("declareConflict", post, "/api/conflicts", account.DeclareConflict, "Declares a conflict of interest: from then on neither judges what the other did.", s.declareConflict),
		route("endConflict", post, "/api/conflicts/{id}/end", account.EndConflict, "Ends a conflict of interest that does not concern the caller.", s.endConflict),

		route("portfolios", get, "/api/portfolios", account.ReadPortfolio, "Lists the portfolios that the caller may read.", s.portfolios),
		route("portfolioSets", get, "/api/portfolio-sets", account.BuildPortfolio, "Lists the newest portfolios of whole cohorts, with how far they have come.", s.portfolioSets),
		route("requestPortfolios", post, "/api/portfolio-sets", account.BuildPortfolio, "Asks for the portfolios of a whole cohort; they are built in the background, several at once.", s.requestPortfolios),
		route("stopPortfolios", post, "/api/portfolio-sets/{id}/stop", account.BuildPortfolio, "Stops those of a cohort's portfolios that are not ready.", s.stopPortfolios),
		route("requestPortfolio", post, "/api/portfolios", account.BuildPortfolio, "Asks for a trainee's portfolio for a qualification unit; it is built in the background.", s.requestPortfolio),
		route("portfolioPhotos", get, "/api/portfolios/photos", account.ChoosePhotos, "Says how photos stand in the centre's portfolios.", s.portfolioPhotos),
		route("choosePortfolioPhotos", put, "/api/portfolios/photos", account.ChoosePhotos, "Says how photos stand in portfolios that are made from now on.", s.choosePortfolioPhotos),
		route("portfolioFile", get, "/api/portfolios/{id}/file", account.ReadPortfolio, "Gives a finished portfolio's PDF.", s.portfolioFile),
	}
}
