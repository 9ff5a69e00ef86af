// The viewer's words in English. The other languages have the same keys with the same gaps, which a test holds them to.

export default {
  picture: "{name}. Arrow keys look around, plus and minus zoom, Home returns to the opening view.",
  ways: "Doors and notes in view",
  goTo: "Go to {name}",
  stepTo: "Walk on in {name}",
  turnTo: "Turn to {name}",
  note: "Note: {name}",
  rooms: "Rooms",
  plan: "Plan",
  more: "More",
  directions: "north, north-east, east, south-east, south, south-west, west, north-west",
  directionLetters: "N, NE, E, SE, S, SW, W, NW",
  facing: "Facing {direction}; turn to the north",
  asItWas: "As it was: {name}",
  loading: "Opening {name} …",
  entered: "{name}",
  roomMissing: "{name} could not be loaded. You are still in {here}.",
  partsMissing: "Parts of this picture are missing. Trying again.",
  panelMissing: "This could not be loaded. Please check the connection and try again.",
  walkMissing: "The walkthrough could not be loaded. Please check the connection and load this page again.",
};
