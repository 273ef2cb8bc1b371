// Package circuit answers what a wiring does: which voltage and current stand
// at every point, what a fault anywhere would change of them, where else a
// thing can be measured, what hangs together, and where along a path the
// resistance sits that somebody's readings speak of.
//
// # What a circuit is here
//
// A Graph is built from the circuits of a guide; several are joined where
// their nodes are the same thing: the same ground stud, fuse, relay or load,
// or the same named pin of the same item. Every node has a supply side and a
// load side with the resistance of the node between them, and a three-wire
// sensor a signal side; a wire of the guide runs from the load side of one
// node to the supply side of another. These sides are the points at which one
// measures. A wire between two nodes of one item lies inside that item, so
// that its ends cannot be reached by a probe.
//
// A ground from which no wire leads on is the reference, 0 V, as is the
// negative of a supply that is not held against another node.
//
// # What is computed
//
// Direct voltages and currents at rest (Graph.Solve), by nodal analysis with
// one further unknown for each ideal source, solved by elimination with
// partial pivoting. The solution obeys Kirchhoff's laws; tests hold it to them
// and to a circuit simulator. Coils are their resistance, capacitances carry
// no current. A load whose resistance nobody knows carries no current, and the
// solution says so. What no supply and no ground reaches has no voltage: it
// floats, and its number is NaN.
//
// # Units
//
// Ohms, Volts, Amperes and Farads are SI. Temperatures come as
// quantity.Value. Uncertainties are standard uncertainties (JCGM 100).
//
// # What it promises
//
// Pure functions of their arguments, in the order of the guide. A Graph is
// never changed after Build and may be used by several goroutines. What could
// not be answered is a value that says why, not an error; errors are for
// arguments that make no sense (an unknown circuit, a resistance below zero).
//
// Nothing here knows what it takes to get anywhere: the minutes to a measuring
// point come from a function of the caller.
package circuit
