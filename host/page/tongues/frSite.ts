// The words of the pages that change the site, in French; see enSite.ts.
import type { SiteWords } from './enSite';
import { plurals } from './plurals';

const { count, number } = plurals('fr-FR');

const UNTIL = 'D’ici là, il travaille avec les données précédentes, et toutes les pages les montrent.';
const SAVED = 'La dernière modification est enregistrée.';

export const site: SiteWords = {
  title: 'Bâtiment',
  intro:
    'Zones, circuits et luminaires, horaires et règles. Chaque modification est vérifiée avant d’être enregistrée, et ' +
    'inscrite au registre de sécurité. Modifier ces données ne change jamais le câblage.',
  rules: 'Horaires et règles',
  changeRules: 'Modifier les horaires et les règles',
  circuits: 'Circuits et luminaires',
  areas: 'Zones',
  floors: 'Étages',
  addCircuit: 'Ajouter un circuit',
  addArea: 'Ajouter une zone',
  addFloor: 'Ajouter un étage',
  addLuminaire: (circuit) => `Ajouter un luminaire à ${circuit}`,
  circuitLine: (name, luminaires) => `${name}, ${count(luminaires, 'luminaire', 'luminaires')}`,
  gone: 'Cela n’existe plus dans ce bâtiment.',
  byHand: (file) =>
    `${file} a été modifié depuis le démarrage de l’hôte. Cela ne vaudra qu’après son redémarrage ; d’ici là, rien ne ` +
    'peut être enregistré ici, sauf si seuls des commentaires ont changé.',
  taking: `${SAVED} L’hôte est en train de la reprendre. ${UNTIL}`,
  reading: (percent) =>
    `${SAVED} L’hôte est en train de la reprendre : ${number(percent)} % du registre sont lus pour cela. ${UNTIL}`,
  waiting: (why) => `${SAVED} L’hôte attend encore : ${why}. ${UNTIL}`,
  taken: 'Enregistré et inscrit au registre de sécurité. L’hôte travaille maintenant avec ces données.',

  kept: {
    label: 'Pas encore enregistré',
    stale:
      'Le fichier a été modifié entre-temps, dans une autre fenêtre ou à la main. Essayez avec le nouveau fichier, où ' +
      'tout est vérifié à nouveau, ou renoncez-y.',
    fresh: 'Ce sera enregistré avec la prochaine modification.',
    tryNew: 'Essayer avec le nouveau fichier',
    tryAgain: 'Essayer d’enregistrer',
    giveUp: 'Y renoncer',
  },

  add: {
    floors: 'Nouvel étage',
    areas: 'Nouvelle zone',
    circuits: 'Nouveau circuit',
    luminaires: 'Nouveau luminaire',
  },
  addIn: (circuit) => `Nouveau luminaire dans le circuit ${circuit}`,
  change: {
    floors: (id) => `Modifier l’étage ${id}`,
    areas: (id) => `Modifier la zone ${id}`,
    circuits: (id) => `Modifier le circuit ${id}`,
    luminaires: (id) => `Modifier le luminaire ${id}`,
  },

  caution: {
    data: 'Modifier ces données ne change jamais le câblage.',
    rules: 'Ce que vous modifiez ici entraîne un nouveau plan des essais.',
    luminaire: 'Vérifiez l’autonomie assignée sur la plaque du luminaire, et mesurez ses courants.',
    newLuminaire: 'Il est lu à l’entrée de capteur suivante de son circuit.',
    circuit:
      'L’identifiant est aussi dans le contrôleur : s’il change, remettez le contrôleur en service avec le nouveau.',
    newCircuit: 'Il lui faut un contrôleur mis en service pour cet identifiant, et au moins un luminaire.',
  },

  move: {
    only: (id, to) =>
      `Ne le changez ici que si le luminaire ${id} est réellement alimenté par le circuit ${to}.`,
    input: (to, input) => `Il sera lu à l’entrée de capteur ${number(input)} du circuit ${to}.`,
    module: (to) => `Il lui faut un module de courant sur le bus du circuit ${to}.`,
    along:
      'Ses résultats et les données de sa batterie le suivent. Si sa température n’est pas connue, celle du nouveau circuit vaut.',
    up: (ids) => `Avancent d’une entrée de capteur : ${ids}. Déplacez aussi leurs fils de capteur.`,
  },

  remove: {
    button: 'Retirer…',
    yes: 'Oui, retirer',
    no: 'Garder',
    floors: (id) => `Retirer l’étage ${id} ?`,
    areas: (id) => `Retirer la zone ${id} ?`,
    circuits: (id) =>
      `Retirer le circuit ${id} avec tous ses luminaires ? Les résultats restent au registre. Son contrôleur garde son ` +
      'plan et continue les essais jusqu’à ce qu’il soit démonté.',
    luminaires: (id) => `Retirer le luminaire ${id} ? Ses résultats restent au registre.`,
  },

  ones: { floor: 'étage', area: 'zone', circuit: 'circuit', luminaire: 'luminaire' },

  thing: {
    site: 'bâtiment',
    floors: (id) => `étage ${id}`,
    areas: (id) => `zone ${id}`,
    circuits: (id) => `circuit ${id}`,
    luminaires: (id) => `luminaire ${id}`,
  },
  did: {
    added: (thing) => `${thing} : ajout`,
    removed: (thing) => `${thing} : retrait`,
    renamed: (thing, to) => `${thing} : s’appelle maintenant ${to}`,
    moved: (thing, to) => `${thing} : passe au circuit ${to}`,
    changed: (thing, field) => `${thing} : ${field} modifié`,
  },

  form: {
    label: 'Modifications',
    fields: 'Champs',
    here: 'Rien n’a été enregistré. Corrigez les champs marqués ci-dessous.',
    elsewhere: 'Rien n’a encore été enregistré.',
    nothing: 'Rien n’est encore modifié ici.',
    mend: 'Si une autre modification y remédie, gardez celle-ci et saisissez l’autre :',
    keep: 'Garder et continuer',
    reload: 'Recharger la page',
    saving: 'Enregistrement…',
    save: 'Enregistrer',
    leave: 'Tout laisser comme avant',
  },

  field: {
    circuit: 'Circuit',
    choose: 'Choisir…',
    notSaid: (otherwise) => `Pas indiqué : ${otherwise}`,
    yes: 'Oui',
    no: 'Non',
    never: 'jamais',
    everyDay: 'tous les jours',
    hours: (n) => `Horaire ${number(n)}`,
    from: 'De',
    to: 'À',
    remove: 'Retirer',
    removeHours: (n) => `Retirer l’horaire ${number(n)}`,
    noHours: 'Aucun horaire.',
    addHours: 'Ajouter un horaire',
    ownHours: 'Donner ses propres horaires',
    noneOwn: (otherwise) => `Pas d’horaires propres : ${otherwise}`,
    dates: 'Une date par ligne, comme 2026-12-25.',
    example: (text) => `Par exemple : ${text}.`,
    empty: (otherwise) => `Vide : ${otherwise}.`,
    unmarked: (otherwise) => `Rien de coché : ${otherwise}.`,
  },

  options: {
    measured: 'mesurés',
    expected: 'attendus',
    'lead-acid': 'plomb',
    even: 'paire',
    odd: 'impaire',
    none: 'aucune',
    input: 'registres d’entrée',
    holding: 'registres de maintien',
  },
};
