// Package decide finds what to check, repair or prove next so that a job ends
// at the least expected cost, when it is not known what is wrong and every
// piece of work costs something else depending on how far the machine is
// stripped at the moment.
//
// It knows nothing of engines. A [Problem] lists worlds, checks, repairs, a
// closing proof and ways to refer on; a [Ground] prices every piece of work
// from every state of the machine.
//
// # What it answers
//
// [Solve] finds a policy and a bound that no policy can beat; [Answer.First] is
// the next step, [Answer.Choices] every other first step with what it loses,
// [Answer.Root] the decision tree, worked out as far as it is walked,
// [Answer.Quantiles] how the remaining cost may fall. [Exhaust] is plain
// dynamic programming without any bound, for small problems and as a witness.
// [Evaluate] prices any [Policy] exactly; [LikeliestFirst], [CheapestFirst],
// [MostInformation] and [IgnoringAccess] are the simple ones that people follow.
// [ShareFlip], [ChanceFlip] and [BreakEven] say how far a share or a
// likelihood may move before the first step changes, [Brackets] what the
// likelihoods known only within limits ([Problem.Unsure]) may change.
//
// # The decision problem
//
// A world says what is wrong with the machine, completely. Exactly one world
// is the true one; its chances are Problem.Worlds, scaled to sum to one. In
// some worlds the machine is right (Problem.Right).
//
// At each moment there is an information state, which is what is believed, and
// a machine state, which only the Ground understands. The choices are:
//
//   - A check. It shows one of its outcomes with the chance that its table
//     gives for the true world. Belief is updated by Bayes' rule. A check
//     changes no world. It may be asked only while it tells something: the
//     living worlds differ in the chances of its outcomes.
//   - A repair. The true world w becomes To[w]; that is an intervention and
//     shows nothing. What was read before it stays attached to the world
//     before it: the chances are moved along To. A repair may be done only
//     while it changes some living world.
//   - The proof. It passes with chance 1 in right worlds and 0 in others, or
//     as Proof.Pass says. When it passes, the machine is put back
//     (Ground.Close) and the job ends. If the proof can pass on a machine that
//     is not right, Proof.Comeback is what that costs on average. When it
//     fails, the job goes on.
//   - To refer on: pay the price of an [Escape], put the machine back, and the
//     job ends.
//
// A world is living while its chance is positive. The job ends in no other
// way; being sure of the repair does not replace the proof. With
// Problem.ProveFirst nothing may be checked while the machine may be right
// already, so that after a repair that may have been the right one the proof
// (or a further repair, or referring on) comes next.
//
// # Noise is persistent
//
// A check that is repeated shows what it showed before as long as nothing that
// it depends on was changed. Exactly: the answer is drawn once for a course of
// worlds and stands until a repair moves the true world from w to w' for which
// the check's table has different rows; then it is drawn anew when it is asked
// next. In worlds that a repair left as they were, the old answer stands: a
// repair that proved useless does not make old readings fresh. The same holds
// for the proof. Check.Once forbids a second asking in any case.
//
// # Worlds and repairs never run in circles
//
// The repairs taken together must not lead from any world back to itself by
// way of another one, and doing one twice must do no more than doing it once
// ([Problem.Validate]). Hence an information state never comes back, and the
// problem has no loops except among machine states, which are the Ground's
// business. A repair that may or may not help is written as two worlds.
//
// # Costs
//
// Cost is a sum of whole numbers in one unit that the caller chooses (the
// engine of the way in uses that of plan.Cost.Objective): each action pays its
// [Move.Cost], which contains everything up to and including the action from
// the present machine state, and the end of the job pays Ground.Close. Chances
// are float64, so an expected cost is a float64; two expected costs that differ
// by less than [Tie] of their size count as the same, and then the earlier
// choice in the order referring on, proof, repairs, checks (each by index) is
// taken. The aim is the least expected sum.
//
// # Two rules of repairing
//
// With To as above a repair leaves every other fault in place. Another rule,
// met in published examples, lets a repair that meets a present fault end the
// trouble altogether and otherwise only tells that this part was good;
// [Problem.SingleFault] rewrites a problem to that rule. The two must not be
// compared with each other.
package decide
