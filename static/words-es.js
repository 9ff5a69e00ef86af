// The viewer's words in Spanish.

export default {
  picture: "{name}. Flechas: mirar alrededor; más y menos: acercar y alejar; Inicio: volver a la primera vista.",
  ways: "Puertas y notas a la vista",
  goTo: "Ir a: {name}",
  stepTo: "Avanzar: {name}",
  turnTo: "Girar hacia: {name}",
  note: "Nota: {name}",
  rooms: "Salas",
  plan: "Plano",
  more: "Más",
  directions: "norte, noreste, este, sureste, sur, suroeste, oeste, noroeste",
  directionLetters: "N, NE, E, SE, S, SO, O, NO",
  facing: "Vista al {direction}; girar hacia el norte",
  asItWas: "Antes: {name}",
  loading: "Abriendo: {name} …",
  entered: "{name}",
  roomMissing: "No se ha podido cargar: {name}. Sigue aquí: {here}.",
  partsMissing: "Faltan partes de esta imagen. Se está intentando de nuevo.",
  panelMissing: "No se ha podido cargar. Compruebe la conexión y vuelva a intentarlo.",
  walkMissing: "No se ha podido cargar el recorrido. Compruebe la conexión y vuelva a cargar esta página.",
};
