package vet

import "elbowroom/span"

// Rules lists every rule in the order in which it is applied.
var Rules = []Rule{
	{"unreachable-item", "An item has ways off or aside, and on some variant none of them can ever be gone.", span.Warning, lookUnreachable},
	{"only-in-a-circle", "Items need one another out of the way in a circle, so that none can come first.", span.Warning, lookCircle},
	{"no-way", "A task, a repair or a check has no way that can be gone, on some variant or at all.", span.Warning, lookNoWay},
	{"contradiction", "A way, change, value or check asks for things that cannot hold at the same time.", span.Warning, lookContradiction},
	{"own-item", "A way needs the very item out of the way that it clears.", span.Warning, lookOwnItem},
	{"unattainable-value", "Something asks for a value of a condition to which no change leads.", span.Warning, lookUnattainable},
	{"no-way-back", "A change leads to a value from which the condition never comes back to where the visit must end.", span.Warning, lookNoWayBack},
	{"absurd-minutes", "Minutes are negative, missing or longer than any one step.", span.Warning, lookMinutes},

	{"torque-unknown", "A joint that is tightened has no torque.", span.Warning, lookTorqueUnknown},
	{"torque-implausible", "A torque lies outside what thread, class and friction allow by VDI 2230 and ISO 898-1 or ISO 3506-1.", span.Warning, lookTorqueImplausible},
	{"thread-form", "A thread is not one of the metric series and cannot be judged.", span.Advice, lookThread},
	{"short-engagement", "A screw is shorter than the thread in aluminium that its torque asks for.", span.Warning, lookEngagement},
	{"no-wrench", "A torque lies outside the range of every torque wrench of the tool list.", span.Warning, lookNoWrench},
	{"torque-conflict", "The same fasteners have two torques: twice in an item, or in an item and its kind.", span.Warning, lookTorqueConflict},
	{"superseded-in-use", "A superseded torque is still the present one.", span.Warning, lookSupersededInUse},
	{"superseded-bare", "A value is superseded and nobody says why.", span.Advice, lookSupersededBare},
	{"single-use-part", "Fasteners are single-use and no part replaces them.", span.Warning, lookSingleUse},
	{"angle-reused", "Fasteners that are tightened by angle are said to be reusable.", span.Warning, lookAngleReused},
	{"unpriced-use", "A way uses up something that is no part of the guide.", span.Advice, lookUnpriced},

	{"limit-without-conditions", "A limit on a quantity that depends on the conditions names none.", span.Advice, lookLimitBare},
	{"limit-empty", "No reading can satisfy a limit.", span.Error, lookLimitEmpty},
	{"impossible-unit", "A limit has a unit that the named quantity cannot have.", span.Warning, lookImpossibleUnit},
	{"idle-check", "No fault makes a check fail.", span.Advice, lookCheckIdle},
	{"hidden-fault", "No check can find a fault.", span.Advice, lookFaultHidden},
	{"odds", "A probability or a weight is outside its range.", span.Error, lookOdds},
	{"wear", "A law of life has no life, one that is neither a distance nor a time, or a shape that no part has.", span.Warning, lookWear},
	{"code-form", "A trouble code has not the form of SAE J2012.", span.Warning, lookCode},

	{"bare-word", "A word that means several things stands alone.", span.Advice, lookBareWord},
	{"vague-condition", "A condition in words needs a number.", span.Advice, lookVague},
	{"side-open", "Left or right is said and neither side nor place is recorded.", span.Warning, lookSideOpen},
	{"side-wrong", "Name, side and place of an item disagree.", span.Warning, lookSideWrong},

	{"no-source", "Nobody is named who says so.", span.Advice, lookProvenance},
	{"notes-conflict", "Two notes contradict one another.", span.Advice, lookNotesConflict},
	{"maker-value", "A value that only the maker can give is missing, and plans stop for it.", span.Warning, lookAsk},
	{"no-authority", "A caution names no authority.", span.Advice, lookAuthority},
	{"overlap", "Two items share room and neither is said to be inside the other.", span.Advice, lookOverlap},
	{"open-circuit", "A node of a circuit is connected to nothing, or on one side only.", span.Advice, lookCircuit},
	{"test-unknown", "A test of the guide speaks of something that does not exist.", span.Error, lookOwnTest},
}
