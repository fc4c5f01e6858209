package main

// viewer is who looks at a page of the centre, and the number of their session.
type viewer = int

const (
	asManager viewer = iota
	asAssurer
	asVerifier
	asTutor
	asTrainee
	asNobody
)

// centrePage is a page of a large centre that is measured. In its path {word} is what the rows name by the MD5 of the word.
type centrePage struct {
	name, path string
	who        viewer
}

// centrePages is every page that reads what a centre has much of. What has no place here or among lightPages fails a test.
func centrePages() []centrePage {
	return []centrePage{
		{"the centre", "/centre", asManager},
		{"people", "/people", asManager},
		{"a person", "/people/{trainee1}", asManager},
		{"units", "/units", asManager},
		{"conflicts of interest", "/conflicts", asManager},
		{"instruments", "/instruments", asManager},
		{"an instrument", "/instruments/{instrument1}", asManager},
		{"what a failed calibration puts in question", "/instruments/{instrument1}/touched/{failed}", asAssurer},
		{"photos worth a look", "/alike", asAssurer},
		{"two photos side by side", "/alike/pictures/{photo1-1}/{photo2-1}", asAssurer},
		{"two sets of readings side by side", "/alike/readings/{attempt1-1}/{attempt2-1}", asAssurer},
		{"sampling", "/sampling", asAssurer},
		{"what a sample of a cohort would show", "/sampling/{plan}", asAssurer},
		{"a sample", "/samples/{sample}", asAssurer},
		{"a sample drawn again", "/samples/{sample}/again", asAssurer},
		{"a drawn attempt", "/samples/{sample}/attempts/{attempt26-10}", asAssurer},
		{"actions", "/actions", asManager},
		{"claims", "/claims", asManager},
		{"who of a cohort is ready", "/claims/ready?unit=H2&cohort={cohort1}", asManager},
		{"a claim", "/claims/{claim3}", asManager},
		{"standardisations", "/standardisations", asAssurer},
		{"what a standardisation may be held on", "/standardisations/new?brief={brief1}&version=1", asAssurer},
		{"a standardisation", "/standardisations/{standard}", asAssurer},
		{"an attempt judged blind", "/standardisations/{open standard}/attempts/{attempt1-1}", asAssurer},
		{"rulings", "/rulings", asAssurer},
		{"what a ruling puts in question", "/rulings/{ruling}", asAssurer},
		{"small files", "/files", asAssurer},
		{"prior learning", "/prior-learning", asAssurer},
		{"a claim of prior learning", "/prior-learning/{prior1}", asAssurer},
		{"an inquiry", "/inquiries/{inquiry1}", asAssurer},
		{"visits", "/visits", asManager},
		{"what is kept of a visit", "/visits/{visit}", asManager},
		{"a verifier's list", "/visit", asVerifier},
		{"what a verifier can still choose", "/visit/more", asVerifier},
		{"an attempt as a verifier reads it", "/visit/attempts/{attempt1-1}", asVerifier},
		{"keeping and erasing", "/keeping", asManager},
		{"what is proposed to be erased", "/keeping/{purge}", asManager},
		{"a tutor's bench", "/bench", asTutor},
		{"an attempt to be judged", "/attempts/{attempt1-2}", asTutor},
		{"an attempt that is signed off", "/attempts/{attempt1-1}", asTutor},
		{"a mark sheet", "/attempts/{attempt1-1}/mark-sheet", asTutor},
		{"cohorts", "/cohorts", asManager},
		{"a cohort's bench board", "/cohorts/{cohort1}", asTutor},
		{"a cohort's members", "/cohorts/{cohort1}/members", asManager},
		{"a cohort's term", "/cohorts/{cohort1}/term", asTutor},
		{"what a trainee has shown", "/cohorts/{cohort1}/trainees/{trainee1}", asTutor},
		{"a trainee's tasks", "/tasks", asTrainee},
		{"who is at work now", "/stop", asManager},
		{"an attempt under way", "/attempts/{attempt6-2}", asTrainee},
		{"what a trainee is told", "/attempts/{attempt6-1}/feedback", asTrainee},
		{"second looks", "/second-looks", asAssurer},
		{"hold points to release without signal", "/on-the-spot", asTutor},
		{"briefs", "/briefs", asTutor},
		{"a brief", "/briefs/{brief1}/1", asTutor},
		{"a brief held against another version", "/briefs/{brief1}/2/differences", asTutor},
		{"how the figures of a brief did", "/briefs/{brief2}/1/numbers", asTutor},
		{"corrections of a brief", "/briefs/{brief1}/corrections", asTutor},
		{"a correction", "/corrections/{correction}", asTutor},
		{"rules", "/rules", asTutor},
		{"an edition of a rule set", "/rules/{edition}", asTutor},
		{"what an edition concerns", "/rules/{edition}/concerned", asTutor},
		{"portfolios", "/portfolios", asManager},
		{"the decision log", "/log", asManager},
		{"an entry of the decision log", "/log/entries/0", asManager},
	}
}

// lightPages are the rest: pages that are forms, or read a thing or two, and those that send on.
func lightPages() []centrePage {
	return []centrePage{
		{"the way to where one's work is", "/", asTutor},
		{"the way to whoever waits longest", "/next-attempt", asTutor},
		{"signing in", "/sign-in", asNobody},
		{"a forgotten password", "/forgotten", asNobody},
		{"a portfolio to be checked", "/verify", asNobody},
		{"without signal", "/no-signal", asNobody},
		{"stock remarks", "/stock-remarks", asTutor},
		{"a code card", "/attempts/{attempt6-2}/card", asTrainee},
		{"functions", "/functions", asTutor},
		{"a new brief", "/briefs/new", asTutor},
		{"a brief to be changed", "/briefs/{brief1}/1/edit", asTutor},
		{"a copy of a brief", "/briefs/{brief1}/1/copy", asTutor},
		{"a brief worked through", "/briefs/{brief1}/1/work", asTutor},
		{"a blank sheet", "/briefs/{brief1}/1/blank", asTutor},
		{"a brief on trial", "/briefs/{brief1}/1/try", asTutor},
		{"a new rule set", "/rules/new", asTutor},
		{"an edition to be changed", "/rules/{edition}/edit", asTutor},
		{"a list of instruments", "/instruments/list", asManager},
		{"a list of people", "/people/list", asManager},
		{"an edition of a unit", "/units/new", asManager},
		{"an inquiry to be opened", "/inquiries/new", asManager},
	}
}
