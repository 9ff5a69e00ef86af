// The fixture's rooms as shots with a tour.yaml, for the program to build: `node shots.mjs FOLDER`. The checks of fidelity.test.mjs and
// walking.test.mjs then hold for what it made.

import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";
import { STATIONS, equirectangular, walkFile } from "./fixture.mjs";

/** A heading as a longitude in a picture: how far to the right of its centre column. */
const longitude = (heading, headingDeg) => ((heading - (headingDeg ?? 0) + 540) % 360) - 180;
const spotOf = ({ heading, elevation }, { headingDeg }) => [longitude(heading, headingDeg), elevation];

/** Stations of a walk, each with the names it has in a description and in the fixture. */
const stationsOf = ({ rooms }) =>
  rooms.flatMap((room) =>
    room.stations.map((station) => {
      const alone = room.stations.length === 1;
      return { ...station, room: room.id, place: alone ? room.id : `${room.id}/${station.id}`, fixture: alone ? room.id : `${room.id}-${station.id}` };
    }),
  );

const describedStation = (station) => ({
  shots: `shots/${station.fixture}.png`,
  ...(station.headingDeg === null ? {} : { heading: station.headingDeg }),
  "opening-view": { spot: spotOf(station.opening, station), ...(station.opening.fieldOfView === null ? {} : { "field-of-view": station.opening.fieldOfView }) },
  notes: station.hotspots
    .filter(({ kind }) => kind === "note")
    .map((note) => ({
      spot: spotOf(note, station),
      title: note.name,
      text: note.text,
      ...(note.picture ? { picture: { file: "notes/hoist.jpg", alternative: note.picture.alternative } } : {}),
    })),
});

/** Doors, or steps, as a description says them: each once, as both ends see it. `nameOf` says how an end is called there. */
const describedWays = (stations, kind, nameOf) =>
  stations.flatMap((from) =>
    from.hotspots
      .filter((hotspot) => hotspot.kind === kind)
      .flatMap((there) => {
        const to = stations.find(({ room, id }) => room === there.to.room && id === there.to.station);
        const back = to.hotspots.find((hotspot) => hotspot.kind === kind && hotspot.to.room === from.room && hotspot.to.station === from.id);
        if (stations.indexOf(to) < stations.indexOf(from)) return [];
        return [{
          between: [nameOf(from), nameOf(to)],
          "seen-from": { [nameOf(from)]: { spot: spotOf(there, from) }, [nameOf(to)]: { spot: spotOf(back, to) } },
        }];
      }),
  );

/** The description of the fixture's walk. `defaults` as in a tour.yaml. */
export const description = (defaults = {}) => {
  const walk = walkFile();
  const stations = stationsOf(walk);
  const room = ({ id, title }) => {
    const own = stations.filter((station) => station.room === id);
    if (own.length === 1) return { id, title, ...describedStation(own[0]) };
    const steps = describedWays(own, "step", (station) => station.id);
    return { id, title, stations: own.map((station) => ({ id: station.id, ...describedStation(station) })), steps };
  };
  return {
    title: walk.title,
    "opens-in": walk.opensIn.room,
    defaults,
    floors: walk.floors.map((floor) => ({ id: floor.id, title: floor.title, rooms: walk.rooms.filter((one) => one.floor === floor.id).map(room) })),
    doors: describedWays(stations, "door", ({ place }) => place),
  };
};

/** Writes a tour.yaml; JSON is YAML as well. */
export const writeDescription = (folder, described) => writeFile(join(folder, "tour.yaml"), `${JSON.stringify(described, null, 2)}\n`);

/** Writes the shots of all stations, the note's picture and a tour.yaml. */
export const writeShots = async (folder, defaults) => {
  for (const part of ["shots", "notes"]) await mkdir(join(folder, part), { recursive: true });
  for (const [id, { sphere, width }] of Object.entries(STATIONS)) {
    await equirectangular(width, sphere).png({ compressionLevel: 1 }).toFile(join(folder, `shots/${id}.png`));
  }
  await sharp({ create: { width: 360, height: 240, channels: 3, background: "#6d4f36" } }).jpeg().toFile(join(folder, "notes/hoist.jpg"));
  await writeDescription(folder, description(defaults));
};

if (process.argv[1]?.endsWith("shots.mjs") && process.argv[2]) await writeShots(process.argv[2]);
