package cli

import (
	"encoding/json"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// json prints a value, indented, with the signs of the trade as they are.
func (r *run) json(v any) error {
	e := json.NewEncoder(r.Stdout)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// minutes is a duration as a number of minutes.
type minutes float64

func inMinutes(d time.Duration) minutes { return minutes(d.Minutes()) }

// price is an amount of money as a number with two decimals.
type price money.Amount

// MarshalJSON prints 64.00.
func (p price) MarshalJSON() ([]byte, error) { return []byte(money.Amount(p).String()), nil }

// planAnswer is the JSON of plan.
type planAnswer struct {
	Outcome       plan.Outcome   `json:"outcome" says:"what was proved: optimal, bounded, impossible, limit or bad input"`
	By            plan.Objective `json:"by" says:"what the plan is best at: money or minutes"`
	Guide         guideRef       `json:"guide" says:"the guide that was used"`
	Machine       *machineRef    `json:"machine,omitempty" says:"the machine, when one was named"`
	Variant       string         `json:"variant,omitempty" says:"the variant"`
	Tasks         []taskLine     `json:"tasks" says:"what was asked for"`
	Minutes       minutesLine    `json:"minutes" says:"how long it takes, in minutes"`
	Cost          costLine       `json:"cost" says:"what it costs"`
	Bound         float64        `json:"bound" says:"no plan is cheaper than this; money or minutes, as by says"`
	Gap           float64        `json:"gap" says:"share by which the plan may be dearer than the best one; 0 when proved"`
	Steps         []stepLine     `json:"steps" says:"what to do, in order"`
	Bands         []bandLine     `json:"bands" says:"stretches during which a condition differs from the one at the start"`
	Certificate   []landmarkLine `json:"certificate" says:"why no plan is cheaper: one act of each is in every plan, and the values add up to the bound"`
	Base          float64        `json:"base" says:"part of the bound that every plan has, the tasks themselves and the like"`
	Cases         int64          `json:"cases" says:"cases tried to prove the rest of the bound"`
	RunnersUp     []runnerUp     `json:"runners_up" says:"the best plans with another way in"`
	Holds         []string       `json:"holds" says:"how long the plan stays the best"`
	Blockers      []blockerLine  `json:"blockers" says:"a smallest set of facts that makes the request impossible"`
	Tools         []toolLine     `json:"tools" says:"tools to lay out"`
	Parts         []partLine     `json:"parts" says:"parts to have on the shelf"`
	Fluids        []partLine     `json:"fluids" says:"fluids to have at hand"`
	Cautions      []cautionLine  `json:"cautions" says:"warnings and where they matter"`
	Never         []string       `json:"never" says:"what must not be done at some time during the visit"`
	Exceptions    []string       `json:"exceptions" says:"in which respects this machine differs from its variant"`
	Deference     string         `json:"deference" says:"what comes before this plan"`
	SearchSeconds float64        `json:"search_seconds" says:"how long the search took"`
}

type guideRef struct {
	ID       guide.ID `json:"id" says:"name of the guide"`
	Title    string   `json:"title,omitempty" says:"title"`
	Revision string   `json:"revision,omitempty" says:"revision"`
	Date     string   `json:"date,omitempty" says:"date of the revision, ISO 8601"`
}

type machineRef struct {
	ID    guide.ID `json:"id" says:"name in the workshop"`
	Name  string   `json:"name" says:"what it is"`
	Plate string   `json:"plate,omitempty" says:"number plate"`
}

type taskLine struct {
	Task    string  `json:"task" says:"the task as verb:item"`
	Before  bool    `json:"before,omitempty" says:"done as the machine is found"`
	Proof   bool    `json:"proof,omitempty" says:"done when everything is back"`
	Text    string  `json:"text" says:"the task in words"`
	Way     string  `json:"way,omitempty" says:"the way that the plan goes"`
	Minutes minutes `json:"minutes" says:"minutes of the task itself"`
}

type minutesLine struct {
	Total   minutes `json:"total" says:"all of them"`
	Strip   minutes `json:"strip" says:"taking apart"`
	Work    minutes `json:"work" says:"the tasks"`
	Refit   minutes `json:"refit" says:"putting back"`
	Waiting minutes `json:"waiting" says:"waiting that nothing fills"`
	Setup   minutes `json:"setup" says:"changing place and tool"`
}

type costLine struct {
	Labour   price  `json:"labour" says:"hands-on and set-up minutes at the rate"`
	Idle     price  `json:"idle" says:"waiting at its rate"`
	Parts    price  `json:"parts" says:"parts used up"`
	Fluids   price  `json:"fluids" says:"fluids used up"`
	Hire     price  `json:"hire" says:"tools hired"`
	Risk     price  `json:"risk" says:"what may break, at its expected price"`
	Total    price  `json:"total" says:"all of it; what the plan is judged by"`
	PutIn    price  `json:"put_in" says:"what the tasks themselves put in new, the same whichever way the plan goes; not in total"`
	Currency string `json:"currency,omitempty" says:"ISO 4217"`
}

type stepLine struct {
	Number    int           `json:"number" says:"from 1"`
	Kind      plan.StepKind `json:"kind" says:"clear, refit, change, await or do"`
	Phase     plan.Phase    `json:"phase" says:"strip, work or refit"`
	Title     string        `json:"title" says:"the step in words"`
	Item      guide.ID      `json:"item,omitempty" says:"item that is cleared, refitted or worked on"`
	Verb      guide.Verb    `json:"verb,omitempty" says:"what is done to it"`
	Condition guide.ID      `json:"condition,omitempty" says:"condition that is changed"`
	From      guide.ID      `json:"from,omitempty" says:"its value before"`
	To        guide.ID      `json:"to,omitempty" says:"its value after"`
	Place     string        `json:"place,omitempty" says:"from where"`
	Sight     string        `json:"sight,omitempty" says:"seen, mirror or by feel"`
	Hands     int           `json:"hands,omitempty" says:"how many hands fit"`
	Minutes   minutes       `json:"minutes" says:"hands-on"`
	Setup     minutes       `json:"setup,omitempty" says:"changing place and tool before it"`
	Wait      minutes       `json:"wait,omitempty" says:"waiting"`
	Starts    minutes       `json:"starts" says:"minutes since the beginning"`
	Depth     int           `json:"depth" says:"items off or aside after the step"`
	Undoes    int           `json:"undoes,omitempty" says:"number of the step that this one undoes or that undoes it"`
	Tools     []string      `json:"tools,omitempty" says:"tools"`
	Joints    []string      `json:"joints,omitempty" says:"fasteners with their torque"`
	Uses      []string      `json:"uses,omitempty" says:"what is used up"`
	Risks     []string      `json:"risks,omitempty" says:"what may break"`
	Cautions  []guide.ID    `json:"cautions,omitempty" says:"warnings, by name"`
	Notes     []string      `json:"notes,omitempty" says:"remarks"`
}

type bandLine struct {
	Condition string `json:"condition" says:"condition"`
	Value     string `json:"value" says:"its value"`
	FromStep  int    `json:"from_step" says:"first step"`
	ToStep    int    `json:"to_step" says:"last step"`
	Forbids   string `json:"forbids,omitempty" says:"what must not be done meanwhile"`
}

type landmarkLine struct {
	AnyOf []string `json:"any_of" says:"every plan does at least one of these"`
	Value float64  `json:"value" says:"what that costs at least; money or minutes"`
}

type runnerUp struct {
	Differs string  `json:"differs" says:"in what it differs"`
	Extra   minutes `json:"extra_minutes" says:"minutes more than the plan"`
	Money   price   `json:"extra_money" says:"money more than the plan"`
	Total   minutes `json:"total_minutes" says:"minutes of it in all"`
	Steps   int     `json:"steps" says:"number of steps"`
}

type blockerLine struct {
	Item      guide.ID `json:"item,omitempty" says:"item that blocks"`
	Condition guide.ID `json:"condition,omitempty" says:"condition that blocks"`
	Tool      guide.ID `json:"tool,omitempty" says:"tool that is missing"`
	Caution   guide.ID `json:"caution,omitempty" says:"caution that asks for an answer"`
	Says      string   `json:"says" says:"what blocks and what would unblock it"`
}

type toolLine struct {
	ID    guide.ID `json:"id" says:"name in the guide"`
	Name  string   `json:"name" says:"tool"`
	Note  string   `json:"note,omitempty" says:"remark, such as an overdue check"`
	Steps []int    `json:"steps" says:"steps that need it"`
}

type partLine struct {
	ID        guide.ID `json:"id,omitempty" says:"name in the guide"`
	Name      string   `json:"name" says:"part or fluid"`
	Number    string   `json:"number,omitempty" says:"part number"`
	Count     float64  `json:"count" says:"how many, or how many litres"`
	Litres    bool     `json:"litres,omitempty" says:"count is in litres"`
	Price     *price   `json:"price,omitempty" says:"of all of them; missing when not known"`
	LeadDays  int      `json:"lead_days,omitempty" says:"days to get it"`
	SingleUse bool     `json:"single_use,omitempty" says:"new each time"`
	Steps     []int    `json:"steps" says:"steps that need it"`
}

type cautionLine struct {
	ID        guide.ID `json:"id" says:"name in the guide"`
	Text      string   `json:"text" says:"the warning"`
	Authority string   `json:"authority,omitempty" says:"whose rule it is"`
	Answer    string   `json:"answer,omitempty" says:"value that only the maker can give"`
	Steps     []int    `json:"steps" says:"steps at which it matters"`
}

// reachAnswer is the JSON of reach.
type reachAnswer struct {
	Plan planAnswer  `json:"plan" says:"the visit without any of these"`
	Also []reachLine `json:"also" says:"every other task with what it would add"`
}

type reachLine struct {
	Task    string       `json:"task" says:"the task as verb:item"`
	Text    string       `json:"text" says:"the task in words"`
	Outcome plan.Outcome `json:"outcome" says:"what was proved of the visit with it"`
	Extra   minutes      `json:"extra_minutes" says:"minutes more"`
	Money   price        `json:"extra_money" says:"money more, parts and fluids of the way included"`
	Alone   minutes      `json:"alone_minutes" says:"minutes of a visit of its own"`
	Changes bool         `json:"changes_way" says:"adding it changes the way in"`
	Reason  string       `json:"reason,omitempty" says:"why it cannot be added"`
}
