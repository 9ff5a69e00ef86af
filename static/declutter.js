// Keeps marks apart where several lie in almost one direction: the first keeps its place, the next is lifted above it or, where
// there is no room above, let down below. Pure maths: no document.

/** A box on the window in pixels, y down. @typedef {{ left: number, top: number, right: number, bottom: number }} Box */

/** Between two boxes. */
const GAP_PX = 4;

/** @param {Box} one @param {Box} other @returns {boolean} */
const meet = (one, other) =>
  one.left < other.right + GAP_PX && other.left < one.right + GAP_PX && one.top < other.bottom + GAP_PX && other.top < one.bottom + GAP_PX;

/** @param {Box} box @param {number} shift @returns {Box} */
const shifted = ({ left, top, right, bottom }, shift) => ({ left, right, top: top + shift, bottom: bottom + shift });

/** How far a box must go, in one sense only (−1 up, 1 down), to be clear of those that stand. Each round clears at least one.
 * @param {Box} box @param {Box[]} standing @param {-1 | 1} sense @returns {number} */
const cleared = (box, standing, sense) => {
  let shift = 0;
  for (let round = 0; round < standing.length; round++) {
    const hit = standing.find((other) => meet(shifted(box, shift), other));
    if (!hit) break;
    shift = sense < 0 ? hit.top - GAP_PX - box.bottom : hit.bottom + GAP_PX - box.top;
  }
  return shift;
};

/** How far each box is moved down (negative: up) so that no two of them meet, nor any of them what is `taken`.
 * @param {readonly Box[]} boxes those that come first keep their places @param {readonly Box[]} taken what does not give way
 * @param {number} height of the window @returns {number[]} */
export const declutter = (boxes, taken, height) => {
  const standing = [...taken];
  return boxes.map((box) => {
    const [up, down] = [cleared(box, standing, -1), cleared(box, standing, 1)];
    const [fitsAbove, fitsBelow] = [box.top + up >= 0, box.bottom + down <= height];
    const shift = fitsAbove || !fitsBelow ? up : down;
    standing.push(shifted(box, shift));
    return shift;
  });
};
