// What the address says can be read again, and nonsense in it does no harm.
import assert from "node:assert/strict";
import test from "node:test";
import { readAddress, writeAddress } from "../../static/address.js";

test("an address looks as promised", () => {
  assert.equal(writeAddress({ room: "kitchen", heading: 212, elevation: -5, fieldOfView: 80 }), "#room=kitchen&heading=212&elevation=-5&fov=80");
  assert.equal(writeAddress({ room: "barn", station: "hearth" }), "#room=barn&station=hearth");
  assert.equal(writeAddress({ room: "hall", heading: 359.97, elevation: -0.04, fieldOfView: 80.26 }), "#room=hall&heading=0&elevation=0&fov=80.3");
});

test("it comes back as it went, to a tenth of a degree", () => {
  for (const address of [
    { room: "hall", heading: 0, elevation: 90, fieldOfView: 35.5 },
    { room: "barn", station: "door-end", heading: 359.9, elevation: -90, fieldOfView: 95 },
    { room: "Küche & Bad=1#", heading: 12.3, elevation: 4.5, fieldOfView: 67.8 },
    { room: "cellar" },
    { room: "hall", heading: 5, elevation: 0, fieldOfView: 80, language: "pt-BR" },
    { language: "de" },
  ]) {
    assert.deepEqual(readAddress(writeAddress(address)), address);
  }
});

test("nonsense is passed over", () => {
  assert.equal(readAddress(""), null);
  assert.equal(readAddress("#top"), null);
  assert.deepEqual(readAddress("#room=hall&heading=north&elevation=&fov=-3&colour=red"), { room: "hall" });
  assert.deepEqual(readAddress("#room=hall&heading=-30&elevation=400&fov=1e9"), { room: "hall", heading: 330, elevation: 90, fieldOfView: 179 });
});
