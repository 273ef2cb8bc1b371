// Package bay knows the space being worked in: where every item sits, how it
// looks from six sides, how to tell a person where it is, and which items
// claim the same room.
//
// # The frame
//
// Axes are those of ISO 8855: x forward, y left, z up, in millimetres, origin
// at the crankshaft centreline at the engine's front face. Left and right are
// those of the vehicle seen from the driver's seat, never those of the reader;
// every drawing and every sentence says so.
//
// # The views
//
// A view is named for where the eye is; the drawing is a true orthographic
// projection, so that one scale bar holds everywhere. From above and from below
// a drawing shows what a person at the front of the vehicle sees, with the rear
// of the vehicle at the top:
//
//	view    right edge   top edge   near
//	above   left  (+y)   rear (-x)  +z
//	below   right (-y)   rear (-x)  -z
//	left    rear  (-x)   up   (+z)  +y
//	right   front (+x)   up   (+z)  -y
//	front   left  (+y)   up   (+z)  +x
//	rear    right (-y)   up   (+z)  -x
//
// Opposite views are therefore mirrored left to right on the drawing and not
// top to bottom. Corner is a further still, looked at from the front left
// corner from above, in which the three axes are equally shortened.
//
// # What it promises
//
//   - Same guide, same options, same bytes: there is no clock, no randomness
//     and no map order in any result.
//   - Shapes are rough envelopes. Boxes (also turned), cylinders and paths with
//     thickness are treated as solids; an item without a usable shape is never
//     guessed, it is reported by Unplaced and said to be "not written down".
//   - What is near hides what is far. In the six views this is exact for boxes
//     that are not turned; other shapes are ordered by their nearest point.
//   - Overlaps never misses two solids that share room; see there for how far
//     it may err to the other side.
//
// It does not plan, does not say whether a hand fits, and holds no opinion on
// what a guide should say.
package bay
