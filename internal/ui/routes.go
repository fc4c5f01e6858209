package ui

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// handler answers one request of somebody; a signed-out visitor of an open route is the zero Caller.
type handler func(u *UI, c echo.Context, who account.Caller) error

// Route is one page or form.
type Route struct {
	Method, Path string
	About        string // one sentence
	Open         bool   // for signed-out people as well
	Big          bool   // takes files; its handler bounds them
	Bytes        bool   // gives a file, which is compressed already
	Slow         bool   // one address may not try it as often as it likes
	handle       handler
}

const (
	get  = http.MethodGet
	post = http.MethodPost
)

// routes is every page and form. Who may use them is not said here: the application decides.
func routes() []Route {
	return []Route{
		{Method: get, Path: "/", About: "Sends people on to where their work is.", handle: (*UI).home},
		{Method: get, Path: "/sign-in", About: "Shows the form to sign in.", Open: true, handle: (*UI).showSignIn},
		{Method: post, Path: "/sign-in", About: "Signs a person in.", Open: true, Slow: true, handle: (*UI).signIn},
		{Method: post, Path: "/sign-out", About: "Signs the person out.", Open: true, handle: (*UI).signOut},
		{Method: get, Path: "/invitation/:token", About: "Shows whom an invitation is for, without using it up.", Open: true, Slow: true, handle: (*UI).showInvitation},
		{Method: post, Path: "/invitation/:token", About: "Uses an invitation to choose a password.", Open: true, Slow: true, handle: (*UI).acceptInvitation},
		{Method: get, Path: "/no-signal", About: "Stands in for a page that a phone without signal does not keep.", Open: true, handle: (*UI).noSignal},

		{Method: get, Path: "/tasks", About: "Lists the trainee's own tasks.", handle: (*UI).tasks},
		{Method: get, Path: "/attempts/:id", About: "Shows one attempt as a job sheet.", handle: (*UI).attempt},
		{Method: post, Path: "/attempts/:id/open", About: "Starts an attempt.", handle: (*UI).openAttempt},
		{Method: post, Path: "/attempts/:id/entries", About: "Keeps what was typed into a stage.", handle: (*UI).recordEntries},
		{Method: post, Path: "/attempts/:id/look", About: "Says how a line reads as it is being typed, and keeps nothing.", handle: (*UI).look},
		{Method: post, Path: "/attempts/:id/instruments", About: "Keeps which instrument the trainee has in hand.", handle: (*UI).chooseInstrument},
		{Method: post, Path: "/attempts/:id/files", About: "Adds photos or a document to an item.", Big: true, handle: (*UI).addFiles},
		{Method: post, Path: "/attempts/:id/stop", About: "Stops the work for safety.", handle: (*UI).stop},
		{Method: post, Path: "/attempts/:id/clear-stop", About: "Clears a stop for safety.", handle: (*UI).clearStop},
		{Method: post, Path: "/attempts/:id/hand-over", About: "Hands an attempt over to the tutor.", handle: (*UI).handOver},
		{Method: post, Path: "/attempts/:id/release", About: "Releases a hold point.", handle: (*UI).releaseHold},
		{Method: post, Path: "/attempts/:id/take-in", About: "Takes what came after handing over into the set.", handle: (*UI).takeIn},
		{Method: post, Path: "/attempts/:id/go-on-without", About: "Has an attempt marked without what has not come.", handle: (*UI).goOnWithout},
		{Method: get, Path: "/on-the-spot", About: "Shows a tutor the hold points that they may release without signal.", handle: (*UI).onTheSpot},
		{Method: post, Path: "/attempts/:id/observations", About: "Notes what a tutor saw of a piece of work.", handle: (*UI).observe},
		{Method: post, Path: "/attempts/:id/oral-questions", About: "Keeps a question that was asked aloud, with the answer.", handle: (*UI).askOrally},
		{Method: post, Path: "/attempts/:id/adjustments", About: "Records what is agreed with a trainee beforehand.", handle: (*UI).adjust},
		{Method: post, Path: "/attempts/:id/one-more", About: "Grants one attempt more than were set.", handle: (*UI).grantAttempt},
		{Method: post, Path: "/attempts/:id/check-reading", About: "Records a check reading beside a trainee's.", handle: (*UI).checkReading},
		{Method: post, Path: "/attempts/:id/override", About: "Puts a verdict in place of the marker's.", handle: (*UI).override},
		{Method: post, Path: "/attempts/:id/decide", About: "Decides one criterion.", handle: (*UI).decide},
		{Method: post, Path: "/attempts/:id/take-back", About: "Takes the decision on a criterion back.", handle: (*UI).takeBack},
		{Method: get, Path: "/stock-remarks", About: "Shows a tutor's own remarks.", handle: (*UI).showRemarks},
		{Method: post, Path: "/stock-remarks", About: "Keeps a tutor's own remarks.", handle: (*UI).keepRemarks},
		{Method: get, Path: "/next-attempt", About: "Sends a tutor on to whoever has waited longest.", handle: (*UI).nextAttemptUp},
		{Method: post, Path: "/attempts/:id/sign-off", About: "Signs an attempt off.", handle: (*UI).signOff},
		{Method: post, Path: "/attempts/:id/more-to-do", About: "Sends an attempt back with more to do.", handle: (*UI).moreToDo},
		{Method: post, Path: "/attempts/:id/question", About: "Notes that the trainee is to be asked about a criterion.", handle: (*UI).askTrainee},
		{Method: post, Path: "/attempts/:id/answer", About: "Keeps the gist of what the trainee answered.", handle: (*UI).answerQuestion},
		{Method: post, Path: "/attempts/:id/countersign", About: "Stands behind the decisions that wait for it.", handle: (*UI).countersign},
		{Method: get, Path: "/second-looks", About: "Lists the appeals to be heard and the decisions to be countersigned.", handle: (*UI).second},
		{Method: get, Path: "/attempts/:id/feedback", About: "Shows what was decided and found, to be read and printed.", handle: (*UI).feedback},
		{Method: get, Path: "/attempts/:id/mark-sheet", About: "Shows an attempt's decisions and findings as they go on file.", handle: (*UI).marksheet},
		{Method: post, Path: "/attempts/:id/acknowledge", About: "Keeps that the trainee has read the feedback.", handle: (*UI).acknowledge},
		{Method: post, Path: "/attempts/:id/appeal", About: "Starts an appeal.", handle: (*UI).appeal},
		{Method: post, Path: "/attempts/:id/settle-appeal", About: "Keeps what was found on hearing an appeal.", handle: (*UI).settleAppeal},
		{Method: post, Path: "/attempts/:id/mark-again", About: "Marks an attempt under another edition of a rule set.", handle: (*UI).markAgain},
		{Method: get, Path: "/evidence/:id", About: "Gives the bytes of one file.", Bytes: true, handle: (*UI).evidence},
		{Method: get, Path: "/attempts/:id/card", About: "Shows an attempt's code card to be printed.", handle: (*UI).card},
		{Method: get, Path: "/attempts/:id/card.svg", About: "Draws an attempt's code card.", Bytes: true, handle: (*UI).cardCode},
		{Method: get, Path: "/evidence/:id/original", About: "Gives the bytes of one file without its covers.", Bytes: true, handle: (*UI).original},
		{Method: post, Path: "/evidence/:id/cover", About: "Lays further covers over a photo.", handle: (*UI).coverFile},
		{Method: post, Path: "/evidence/:id/withdraw", About: "Takes the original of a file away for good.", handle: (*UI).withdrawFile},
		{Method: get, Path: "/evidence/:id/preview", About: "Gives the small picture of one photo.", Bytes: true, handle: (*UI).preview},

		{Method: get, Path: "/bench", About: "Shows a tutor who needs them.", handle: (*UI).bench},
		{Method: get, Path: "/cohorts", About: "Lists the cohorts.", handle: (*UI).cohorts},
		{Method: post, Path: "/cohorts", About: "Adds a cohort.", handle: (*UI).addCohort},
		{Method: get, Path: "/cohorts/:id", About: "Shows a cohort's bench board.", handle: (*UI).board},
		{Method: get, Path: "/cohorts/:id/events", About: "Tells a page that watches a cohort's work whenever something changed.", Bytes: true, handle: (*UI).boardEvents},
		{Method: post, Path: "/tasks/:id/trainees", About: "Sets a task to further trainees.", handle: (*UI).setTo},
		{Method: post, Path: "/cohorts/:id/tasks", About: "Sets a brief to a cohort.", handle: (*UI).setBrief},
		{Method: get, Path: "/cohorts/:id/members", About: "Lists a cohort's members.", handle: (*UI).members},
		{Method: post, Path: "/cohorts/:id/members", About: "Puts a person into a cohort.", handle: (*UI).addMember},
		{Method: post, Path: "/cohorts/:id/members/remove", About: "Takes a person out of a cohort.", handle: (*UI).removeMember},

		{Method: get, Path: "/briefs", About: "Lists the briefs.", handle: (*UI).briefs},
		{Method: get, Path: "/functions", About: "Shows every function that formulas may call.", handle: (*UI).reference},
		{Method: get, Path: "/briefs/new", About: "Shows an empty sheet for a brief.", handle: (*UI).newBrief},
		{Method: post, Path: "/briefs", About: "Checks or saves a brief's text.", handle: (*UI).saveBrief},
		{Method: post, Path: "/briefs/open", About: "Shows a brief's file from the reader's own machine on the sheet, and keeps nothing.", handle: (*UI).openFile},
		{Method: get, Path: "/briefs/:id/:version/copy", About: "Shows a version on a fresh sheet, as a brief of its own.", handle: (*UI).copyBrief},
		{Method: get, Path: "/briefs/:id/:version/file", About: "Gives a version's file.", Bytes: true, handle: (*UI).briefFile},
		{Method: get, Path: "/briefs/:id/:version/differences", About: "Holds a version against another line by line.", handle: (*UI).briefDifference},
		{Method: get, Path: "/briefs/:id/:version/work", About: "Works a version through with sample values.", handle: (*UI).workThrough},
		{Method: get, Path: "/briefs/:id/:version", About: "Shows one version of a brief.", handle: (*UI).brief},
		{Method: get, Path: "/briefs/:id/:version/edit", About: "Shows a brief's text to be changed.", handle: (*UI).editBrief},
		{Method: get, Path: "/briefs/:id/:version/blank", About: "Shows a brief as a blank sheet to be printed.", handle: (*UI).blankBrief},
		{Method: get, Path: "/briefs/:id/:version/try", About: "Shows a brief to be tried as a trainee would meet it.", handle: (*UI).tryBrief},
		{Method: post, Path: "/briefs/:id/:version/try", About: "Marks what was put down in a trial, and keeps nothing.", handle: (*UI).markTrial},
		{Method: post, Path: "/briefs/:id/:version/look", About: "Says how a line of a trial reads as it is being typed.", handle: (*UI).lookTrial},
		{Method: post, Path: "/briefs/:id/:version/ask", About: "Asks for a draft to be checked by somebody else.", handle: (*UI).askForCheck},
		{Method: post, Path: "/briefs/:id/:version/send-back", About: "Sends a draft back to whoever wrote it.", handle: (*UI).sendBriefBack},
		{Method: post, Path: "/briefs/:id/:version/publish", About: "Publishes a draft, by another person than who wrote it.", handle: (*UI).publishBrief},
		{Method: post, Path: "/briefs/:id/:version/discard", About: "Throws a draft away.", handle: (*UI).discardBrief},

		{Method: get, Path: "/cohorts/:id/term", About: "Shows how a cohort's term stands.", handle: (*UI).term},
		{Method: get, Path: "/cohorts/:id/trainees/:person", About: "Shows what a trainee has shown, and what is missing.", handle: (*UI).progress},
		{Method: get, Path: "/briefs/:id/:version/numbers", About: "Shows how the figures of a brief did.", handle: (*UI).insight},
		{Method: get, Path: "/briefs/:id/corrections", About: "Lists the corrections of a brief.", handle: (*UI).corrections},
		{Method: post, Path: "/briefs/:id/corrections", About: "Has attempts marked again under a later version.", handle: (*UI).askCorrection},
		{Method: get, Path: "/corrections/:id", About: "Shows how far a correction has come, and what it changes.", handle: (*UI).correction},
		{Method: post, Path: "/corrections/:id/stop", About: "Has a correction pause.", handle: moveCorrection((*app.App).StopRemark, "It stops after what is under way. What is marked by then stays.")},
		{Method: post, Path: "/corrections/:id/go-on", About: "Has a stopped correction go on.", handle: moveCorrection((*app.App).GoOnRemark, "It goes on where it stopped.")},
		{Method: post, Path: "/corrections/:id/take", About: "Lets a correction take effect.", handle: moveCorrection((*app.App).TakeRemark, "It is taking effect, attempt by attempt.")},
		{Method: post, Path: "/corrections/:id/drop", About: "Gives a correction up before it takes effect.", handle: moveCorrection((*app.App).DropRemark, "It is dropped. Nothing changed.")},

		{Method: get, Path: "/rules", About: "Lists the centre's rule sets with their editions.", handle: (*UI).rules},
		{Method: get, Path: "/rules/new", About: "Shows an empty sheet for a rule set.", handle: (*UI).newRules},
		{Method: post, Path: "/rules", About: "Checks or saves the text of an edition.", handle: (*UI).saveRules},
		{Method: get, Path: "/rules/:id", About: "Shows one edition of a rule set.", handle: (*UI).rule},
		{Method: get, Path: "/rules/:id/edit", About: "Shows the text of an edition to be changed.", handle: (*UI).editRules},
		{Method: post, Path: "/rules/:id/check", About: "Makes an edition count, by another person than who entered it.", handle: (*UI).checkRules},
		{Method: get, Path: "/rules/:id/concerned", About: "Lists what an edition changes, and for whom.", handle: (*UI).concerned},

		{Method: get, Path: "/people", About: "Lists the people of the centre.", handle: (*UI).people},
		{Method: post, Path: "/people", About: "Adds a person and makes their invitation.", handle: (*UI).addPerson},
		{Method: post, Path: "/people/:id/invite", About: "Makes a fresh invitation for a person.", handle: (*UI).inviteAgain},
		{Method: post, Path: "/people/:id/countersigned", About: "Says whether a tutor's decisions wait for a countersignature.", handle: (*UI).setCountersigned},
		{Method: post, Path: "/people/:id/sign-in", About: "Lets a person sign in, or stops them.", handle: (*UI).allowSignIn},
		{Method: get, Path: "/portfolios", About: "Lists the portfolios and their state.", handle: (*UI).portfolios},
		{Method: post, Path: "/portfolios", About: "Asks for a portfolio.", handle: (*UI).requestPortfolio},
		{Method: get, Path: "/portfolios/:id/file", About: "Gives a portfolio's PDF.", Bytes: true, handle: (*UI).portfolioFile},
	}
}
