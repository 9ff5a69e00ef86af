// The viewer's words in French.

export default {
  picture: "{name}. Touches fléchées : regarder autour de soi ; plus et moins : zoom ; Début : retour à la première vue.",
  ways: "Portes et notes en vue",
  goTo: "Aller à : {name}",
  stepTo: "Avancer : {name}",
  turnTo: "Se tourner vers : {name}",
  note: "Note : {name}",
  rooms: "Pièces",
  plan: "Plan",
  more: "Plus",
  directions: "nord, nord-est, est, sud-est, sud, sud-ouest, ouest, nord-ouest",
  directionLetters: "N, NE, E, SE, S, SO, O, NO",
  facing: "Vue vers : {direction} ; se tourner vers le nord",
  asItWas: "Avant : {name}",
  loading: "Ouverture : {name} …",
  entered: "{name}",
  roomMissing: "Impossible de charger : {name}. Vous êtes toujours ici : {here}.",
  partsMissing: "Des parties de cette image manquent. Nouvel essai en cours.",
  panelMissing: "Chargement impossible. Vérifiez la connexion et réessayez.",
  walkMissing: "La visite n’a pas pu être chargée. Vérifiez la connexion et rechargez cette page.",
};
