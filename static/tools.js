// What can be done only in some rooms or with some devices: seeing the picture as it was before it was altered, looking by turning the device, and a
// headset. What it takes is loaded when it is asked for.

/** @typedef {import("./panels.js").Tool} Tool */

/** @param {import("./panels.js").Deeds} deeds @returns {Tool[]} */
export const toolsOf = (deeds) => {
  const { stage, furniture } = deeds;
  /** @type {import("./immersive.js").ImmersionHost} */
  const host = {
    stage,
    root: furniture.root,
    say: (word, filled) => deeds.scene?.say(word, filled) ?? "",
    address: (path) => deeds.scene?.walk.address(path) ?? path,
    choose: (way) => deeds.choose(way),
    sentence: () => furniture.saying,
    tell: (text, quietly = false) => furniture.say(text, { quietly }),
    cautioned: false,
  };
  const immersive = () => import("./immersive.js");
  const isTurned = async () => matchMedia("(any-pointer: coarse)").matches && "DeviceOrientationEvent" in window;
  const enterHeadset = async () => {
    // What says that one sees the picture as it was is not to be seen in there.
    if (deeds.seesAsItWas) await deeds.showAsItWas(false);
    await (await immersive()).enterImmersion(host);
  };
  const wasAltered = async () => deeds.scene?.standing.station.unaltered !== undefined;
  return [
    { word: "seeAsItWas", offered: wasAltered, act: () => void deeds.showAsItWas(!deeds.seesAsItWas), isOn: () => deeds.seesAsItWas },
    { word: "turnWithDevice", offered: isTurned, act: () => deeds.turnWithDevice(!deeds.followsDevice), isOn: () => deeds.followsDevice },
    { word: "vr", offered: async () => (await immersive()).offersImmersion(), act: enterHeadset },
  ];
};
