// The viewer's words in German.

export default {
  picture: "{name}. Pfeiltasten: umsehen, Plus und Minus: näher und weiter, Pos1: zurück zum ersten Blick.",
  ways: "Türen und Notizen im Blick",
  goTo: "Gehe zu: {name}",
  stepTo: "Weitergehen: {name}",
  turnTo: "Wende dich zu: {name}",
  note: "Notiz: {name}",
  rooms: "Räume",
  plan: "Grundriss",
  more: "Mehr",
  directions: "Norden, Nordosten, Osten, Südosten, Süden, Südwesten, Westen, Nordwesten",
  directionLetters: "N, NO, O, SO, S, SW, W, NW",
  facing: "Blick nach {direction}; nach Norden wenden",
  asItWas: "Vorher: {name}",
  loading: "{name} wird geöffnet …",
  entered: "{name}",
  roomMissing: "Nicht geladen: {name}. Sie sind noch hier: {here}.",
  partsMissing: "Teile dieses Bildes fehlen. Neuer Versuch läuft.",
  panelMissing: "Das konnte nicht geladen werden. Bitte prüfen Sie die Verbindung und versuchen Sie es noch einmal.",
  walkMissing: "Der Rundgang konnte nicht geladen werden. Bitte prüfen Sie die Verbindung und laden Sie die Seite neu.",
};
