// French. Terms as in NF EN 50172 and NF EN 62034, from memory: docs/glossary.md.
import type { Words } from './en';
import { plurals } from './plurals';

const { count, form, number } = plurals('fr-FR');
/** With a decimal only where there is one. */
const percent = (share: number) => number(share, share % 1 === 0 ? 0 : 1);

const NOT_ISOLATION =
  'Un relais ouvert n’est pas une consignation : vérifier l’absence de tension avant tout travail.';
const LIMITED = 'essai d’autonomie réduit (2/3, pas la durée entière)';
const LIMITED_TITLE = 'Essai d’autonomie réduit (2/3, pas la durée entière)';

const circuits = (n: number) => count(n, 'circuit', 'circuits');
const lamps = (n: number) => count(n, 'luminaire', 'luminaires');
const days = (n: number) => count(n, 'jour', 'jours');
const obligations = (n: number) => count(n, 'obligation', 'obligations');

export const fr: Words = {
  lang: 'fr',
  name: 'Français',
  locale: 'fr-FR',
  and: ' et ',

  frame: {
    language: 'Langue',
    pages: 'Pages du site',
    skip: 'Aller au contenu',
    emergencyLighting: 'éclairage de sécurité',
    tonight: 'Cette nuit',
    defects: 'Défauts',
    year: 'Année',
    duties: 'Obligations',
    log: 'Registre de sécurité',
    reports: 'Rapports',
    notice: 'Avis',
    overdue: 'en retard',
    circuit: (id) => `Circuit ${id}`,
    luminaire: (id) => `Luminaire ${id}`,
    duty: (title) => `Obligation ${title}`,
    notFound: 'Page introuvable',
    goHome: 'Aller à « Cette nuit »',
    loading: 'Chargement…',
    nothingYet: 'Rien à montrer pour le moment',
    stillTrying: 'La connexion est toujours tentée.',
    noCircuit: (id) => `Ce bâtiment n’a pas de circuit ${id}`,
    noLuminaire: (id) => `Ce bâtiment n’a pas de luminaire ${id}`,
    noDuty: (id) => `Ce bâtiment n’a pas d’obligation ${id}`,
    fast: (times) => `, avance ${times} fois plus vite`,
  },

  banners: {
    notices: 'Avertissements',
    lost: 'Connexion perdue,',
    lostMore: (heard) =>
      `${heard}. Ce que vous voyez n’est peut-être plus à jour. La reconnexion est toujours tentée.`,
    lastHeard: (at, age) => `dernières nouvelles à ${at} (${age})`,
    nothingHeard: 'rien reçu pour le moment',
    inDoubt: 'Le registre de sécurité est mis en doute.',
    simulated: 'Contrôleurs simulés.',
    simulatedMore: 'Aucun luminaire réel n’est essayé.',
    waiting: (n) => `${count(n, 'inscription attend', 'inscriptions attendent')} la connexion.`,
    refused: (n) => `${count(n, 'inscription a été refusée', 'inscriptions ont été refusées')}.`,
    see: (n) => form(n, 'La voir', 'Les voir'),
  },

  caution: {
    current: 'Le courant d’une lampe montre qu’elle est allumée ; il ne mesure pas la lumière.',
    checks: 'Les contrôles visuels et photométriques restent nécessaires.',
    relay: 'Un relais ouvert n’est pas une consignation.',
    dead: 'Vérifier l’absence de tension avant tout travail.',
    who: (responsible, rules, zone) =>
      `Responsable de l’éclairage de sécurité : ${responsible}. Règles : ${rules}. Heures : ${zone}.`,
  },

  root: {
    label: 'Racine du registre de sécurité',
    code: 'Racine sous forme de code',
    head: (origin, size, at) =>
      `Registre ${origin}, ${count(size, 'inscription', 'inscriptions')}, ${at}. Racine :`,
    key: 'Clé :',
    keep:
      'Gardez cette feuille : elle permet à chacun de montrer plus tard si une inscription a été modifiée ' +
      '(logbook verify --noted).',
    byHand: 'Racine vue et notée par : ____________________ Date : ____________',
  },

  notice: {
    title: 'Avis sur l’éclairage de sécurité',
    until: (end) => `jusqu’au ${end}`,
    furtherNotice: 'jusqu’à nouvel ordre',
    from: (start) => `du ${start} `,
    mayFail: (start, end) => `L’éclairage de sécurité peut ne pas fonctionner ici ${start}${end}.`,
    someFailed: 'Certains luminaires de secours ne fonctionnent pas ici.',
    notKnown: 'On ne sait pas si l’éclairage de sécurité fonctionne ici.',
    titleMayFail: 'L’éclairage de sécurité peut ne pas fonctionner à certains endroits',
    titleFailed: 'Certains luminaires de secours ne fonctionnent pas',
    titleNotKnown: 'On ne sait pas si l’éclairage de sécurité fonctionne',
    titleNothing: 'Aucune batterie ne se décharge ni ne se recharge, et aucun essai n’est prévu',
    none: 'Aucun avis n’est à afficher.',
    leaveUp: (who) => `Laisser cet avis affiché jusqu’à son retrait par : ${who}.`,
    takeDown: (at) => `À retirer après le ${at}.`,
    written: (building, at) => `${building}. Établi le ${at}.`,
    print: 'Imprimer',
  },

  risk: {
    discharging: 'Sur batterie',
    recharging: 'En recharge',
    planned: 'Prévu',
    notKnown: 'On ne sait pas si toutes les batteries sont pleines',
    nothing: 'Aucune batterie ne se décharge ni ne se recharge',
    tonight: 'Cette nuit, des batteries ne seront pas pleines',
    now: 'Batteries non pleines',
    toPrint: 'Avis à imprimer et à afficher',
  },

  kinds: {
    '': '',
    brief: 'essai de fonctionnement',
    full: 'essai d’autonomie',
    limited: LIMITED,
    commissioning: 'essai de mise en service',
  },

  phases: {
    starting: 'Démarrage',
    charged: 'Chargé',
    recharging: 'En recharge',
    opening: 'Ouverture du relais',
    brief: 'Essai de fonctionnement',
    full: 'Essai d’autonomie',
    limited: LIMITED_TITLE,
    commissioning: 'Essai de mise en service',
    restoring: 'Rétablissement du secteur',
    outage: 'Coupure du secteur',
    held: 'Suspendu',
    fault: 'Panne du dispositif d’essai',
    neverHeard: 'Jamais entendu',
    silent: 'Muet',
  },

  verdicts: {
    pass: 'réussi',
    fail: 'échoué',
    void: 'nul',
    open: 'en essai',
    untested: 'non essayé',
  },
  counted: {
    pass: (n) => count(n, 'réussi', 'réussis'),
    fail: (n) => count(n, 'échoué', 'échoués'),
    void: (n) => count(n, 'nul', 'nuls'),
    open: (n) => `${number(n)} en essai`,
    untested: (n) => count(n, 'non essayé', 'non essayés'),
  },
  glow: { lit: 'allumé', dim: 'faible', dark: 'éteint', none: 'aucune mesure' },
  tests: {
    due: 'prévu',
    running: 'en cours',
    pass: 'réussi',
    fail: 'échoué',
    void: 'nul',
    'not run': 'non effectué',
    'not known': 'inconnu',
  },
  modes: {
    'non-maintained': 'non permanent',
    maintained: 'permanent',
    'switched maintained': 'permanent commandé',
    combined: 'combiné',
  },

  time: {
    secondsAgo: (n) => `il y a ${number(n)} s`,
    minutesAgo: (n) => `il y a ${number(n)} min`,
    hoursAgo: (n) => `il y a ${number(n)} h`,
    daysAgo: (n) => `il y a ${days(n)}`,
  },

  contact: {
    never: 'Jamais entendu',
    silent: (at) => `Muet depuis ${at}`,
    late: (at) => `En retard, dernières nouvelles ${at}`,
    reporting: (at) => `En contact, dernières nouvelles ${at}`,
    recharging: (until) => `Batteries en recharge jusqu’à ${until}`,
    cannotStart: (why) => `Un essai ne peut pas commencer : ${why}`,
    held: (who, until) => `Suspendu par ${who} jusqu’à ${until}`,
    attended: (who, until) => `Électricien au travail ici jusqu’à ${until} : ${who}`,
    willAttend: (who, from, until) => `Électricien au travail ici de ${from} jusqu’à ${until} : ${who}`,
    notKnown: 'inconnu',
    whenLastHeard: (word) => `inconnu ; dernier état connu : ${word}`,
    on: 'sous tension',
    off: 'hors tension',
    open: 'ouvert',
    closed: 'fermé',
    before: 'Alimentation avant le relais',
    after: 'Alimentation après le relais',
    relay: 'Relais',
    controller: 'Contrôleur',
    senses: (after, relay) => `Alimentation après le relais : ${after}. Relais : ${relay}.`,
  },

  headline: {
    noReports: 'Aucun contrôleur n’a encore donné de nouvelles.',
    nothingKnown: (n) =>
      `Aucun contrôleur n’a encore donné de nouvelles : rien n’est connu de ${circuits(n)}.`,
    several: (n, told) => `${circuits(n)} : ${told}.`,
    one: (n, group) => `${n === 1 ? '' : 'Les '}${circuits(n)} : ${group}.`,
    groups: {
      onBattery: () => 'sur batterie maintenant',
      fault: () => 'avec une panne du dispositif d’essai',
      outage: () => 'de retour après une coupure',
      testing: () => 'en essai',
      recharging: () => 'en recharge',
      held: (n) => form(n, 'suspendu', 'suspendus'),
      charged: (n) => form(n, 'chargé', 'chargés'),
      notKnown: () => 'à l’état inconnu',
    },
    nothing: 'Rien à faire.',
    attention: (luminaires, affected) => {
      const parts = [
        ...(luminaires > 0 ? [lamps(luminaires)] : []),
        ...(affected > 0 ? [circuits(affected)] : []),
      ];
      return `À traiter : ${parts.join(' et ')}.`;
    },
    tally: (n, parts) => (parts === '' ? `${lamps(n)}.` : `${lamps(n)} : ${parts}.`),
  },

  tonight: {
    running: 'En cours',
    building: 'Le bâtiment',
    title: 'Essais de cette nuit',
    titleOf: (from, to) => `Essais de cette nuit : du ${from} au ${to}`,
    next: (from, to) => `Prochaine nuit d’essais : du ${from} au ${to}`,
    nonePlanned: 'Aucun essai prévu.',
    window: 'Plage d’essai',
    circuit: 'Circuit',
    test: 'Essai',
    state: 'État',
    notPassed: (circuit) => `Luminaires de ${circuit} qui n’ont pas réussi`,
    passed: (n, isRest) =>
      isRest
        ? `${count(n, 'autre luminaire a', 'autres luminaires ont')} réussi.`
        : `${count(n, 'luminaire a', 'luminaires ont')} réussi.`,
  },

  attention: {
    title: 'À traiter',
    next: 'Ensuite :',
    allDefects: 'Tous les défauts : qui s’en occupe, et pour quand',
    since: (at) => `Depuis ${at}`,
    sinceDays: (day, n) => `Depuis ${day}, ${days(n)}`,
    neverHeard: 'Contrôleur jamais entendu',
    neverHeardNext: 'Vérifier son alimentation et son réseau, et qu’il a été configuré pour ce circuit.',
    silent: 'Contrôleur muet',
    silentNext: 'Vérifier l’alimentation et le réseau du contrôleur ; aller voir si le secteur est présent.',
    outage: 'Coupure du secteur',
    outageNext: 'Chercher pourquoi le secteur est coupé.',
    fault: 'Panne du dispositif d’essai',
    faultNext:
      'Examiner le dispositif d’essai : relais, capteurs, câblage. Une fois réparé, acquitter la panne.',
    unconfirmed: 'Alimentation non confirmée',
    unconfirmedNext: 'Y aller maintenant et rétablir l’alimentation à la main.',
    failed: 'Luminaire échoué',
    failedNext: 'Le réparer, puis signaler la réparation sur sa page.',
    retestOpen: 'Réparé ; son nouvel essai est en préparation.',
    retestAt: (at) => `Réparé ; attendre le nouvel essai : ${at}.`,
    overdue: (n) => count(n, 'essai en retard', 'essais en retard'),
    overdueMore: 'Sa plage d’essai est passée sans résultat.',
    overdueNext: 'Sa page dit ce qu’il attend ; ou lancer l’essai pendant que quelqu’un y travaille.',
    held: 'Essais toujours suspendus',
    heldNext: 'Lever la suspension dès que le travail est terminé.',
    anew: 'Contrôleur reparti avec une mémoire vide',
    anewMore:
      'Sa mémoire a été effacée, ou il a été remplacé. Ce qu’il n’avait pas encore envoyé est perdu ; réglages et ' +
      'plan sont renvoyés automatiquement.',
    anewNext:
      'Si personne ne l’a remplacé, le faire examiner. Affiché jusqu’à la fin de son prochain essai complet.',
    fullOverdue: 'Essai d’autonomie en retard',
    fullOverdueMore:
      'Le dernier essai d’autonomie est plus ancien que les règles ne le permettent. Les essais réduits ne comptent pas.',
    fullOverdueNext:
      'Lancer un essai d’autonomie pendant que quelqu’un y travaille, ou faire élargir les plages d’essai.',
    neverFull: 'Jamais d’essai d’autonomie',
    neverFullMore: 'Les règles demandent le premier essai d’autonomie dans le même délai que les suivants.',
    failedFull: 'a échoué à son dernier essai d’autonomie',
    litFor: (length) => `, allumé pendant ${length}`,
  },

  circuit: {
    luminaires: 'Luminaires de secours',
    luminaire: 'Luminaire de secours',
    place: 'Emplacement',
    mode: 'Mode de fonctionnement',
    state: 'État',
    lastProven: 'Dernière preuve',
    lastAttempt: 'Dernière tentative',
    lastFull: 'Dernier essai d’autonomie',
    facts: (floor, areas, rated) => `${floor}. Zones : ${areas}. Autonomie assignée ${rated}.`,
    shared: 'Le relais coupe aussi l’éclairage normal ; il ne s’ouvre donc que lorsque la zone est vide.',
    lastFullOn: (last, due) =>
      `Le dernier essai d’autonomie date du ${last} ; le suivant est à faire avant le ${due}.`,
    noFull: 'Aucun essai d’autonomie n’est enregistré.',
    limited: 'Des essais réduits (2/3) sont prévus ici parce que des personnes y sont toujours présentes.',
    limitedMore: 'L’essai d’autonomie reste dû, sauf si la règle locale accepte l’essai réduit.',
    orders: 'Ordres',
    now: 'Maintenant',
    log: 'Registre de sécurité de ce circuit',
  },

  running: {
    label: (circuit) => `Essai en cours ${circuit}`,
    finished: 'Terminé',
    notStarted: 'Pas encore commencé',
    of: (length) => `sur ${length}`,
    soFar: (circuit) => `Essai de ${circuit} jusqu’ici`,
    lamps: 'Luminaires en essai',
    curve: (lines, failed) =>
      `Courants des lampes jusqu’ici, en pourcentage de la valeur de mise en service, ${number(lines)} lignes, échecs : ${number(failed)}`,
    caption: (floor) =>
      'Courant des lampes pendant l’essai, depuis l’ouverture de cette page. Trait fin : 100 % du courant de ' +
      `mise en service. Trait tireté : ${number(floor)} %, le minimum pour qu’une lampe compte comme allumée.`,
    restoring: 'Rétablissement du secteur…',
  },

  lamp: {
    nothingYet: 'rien pour le moment',
    noneYet: 'aucun pour le moment',
    same: 'la même',
    lit: (verdict, length, at) => `${verdict}, allumé ${length}, ${at}`,
  },

  luminaire: {
    more: (mode, rated, chemistry, fitted) =>
      `Mode : ${mode}. Autonomie assignée ${rated}. Batterie ${chemistry}, posée ${fitted}.`,
    state: 'État',
    lasts: (proven, attempt) => `Dernière preuve : ${proven}. Dernière tentative : ${attempt}`,
    diagnosis: 'Diagnostic :',
    outlook: 'Perspective de la batterie :',
    notTested: 'Pas essayé depuis la réparation :',
    curves: 'Courbes de décharge, année par année',
    noCurve: 'Aucun essai d’autonomie n’a encore enregistré de courbe.',
    curvesLabel: (n, minutes) =>
      `Courbes de décharge de ${count(n, 'essai d’autonomie', 'essais d’autonomie')}, autonomie assignée ${number(minutes)} minutes ; décrites ci-dessous`,
    litFor: (length) => `allumé pendant ${length}`,
    litToEnd: 'allumé jusqu’au bout',
    below: (floor, length) => `sous ${number(floor)} % après environ ${length}`,
    curveKey: (day, lit, bound) => `${day} : ${lit}, courbe exacte à ± ${number(bound)} % près`,
    minimum: (floor) => `Valeur minimale, ${number(floor)} %`,
    rated: (minutes) => `assignée ${number(minutes)} min`,
    minutes: 'Minutes sur batterie',
    percent: '% du courant de mise en service',
    results: 'Résultats',
    noResults: 'Pas encore essayé.',
    when: 'Quand',
    test: 'Essai',
    verdict: 'Résultat',
    lit: 'Allumé',
    at5: 'à 5 s',
    at60: 'à 60 s',
    atEnd: 'à la fin',
    entry: 'Inscription',
    baseline: 'Courant de mise en service',
    onBattery: (battery) => `${number(battery)} mA sur batterie`,
    onBoth: (battery, mains) => `${number(battery)} mA sur batterie, ${number(mains)} mA sur secteur`,
    judged: 'Jugé par rapport à',
    fromSite: ', d’après le fichier du site.',
    acceptedBy: (who, day, site) => `, accepté par ${who} le ${day} (fichier du site : ${site}).`,
    measured: (day, currents) => `Mesuré lors du dernier essai complet, ${day} : ${currents}.`,
    notMeasured: 'Aucun essai complet ne l’a encore mesuré.',
    cannotAccept: 'Ces valeurs ne peuvent pas être acceptées.',
    defects: (n) => form(n, 'Défaut', 'Défauts'),
  },

  orders: {
    sending: 'Envoi…',
    choose: 'Choisir…',
    yourName: 'Votre nom',
    dismiss: 'Masquer',
    nameMissing: 'Indiquez votre nom : le registre de sécurité note qui a donné l’ordre.',
    nameLong: (most) => `Utilisez au plus ${number(most)} caractères.`,
    nameLetters:
      'Utilisez des lettres, des chiffres et de la ponctuation : pas de " ni de \\, ni de caractères invisibles.',
    forHowLong: 'Pour combien de temps',
    howMuch: 'De combien',
    whichTest: 'Quel essai',
    chooseTest: 'Choisissez l’essai.',
    whatDone: 'Ce qui a été fait',
    chooseDone: 'Choisissez ce qui a été fait : cela décide de l’essai qui suit.',
    hours: (n) => count(n, 'heure', 'heures'),
    days,
    minutes: (n) => count(n, 'minute', 'minutes'),
    parts: {
      battery: 'Batterie remplacée',
      lamp: 'Lampe remplacée',
      'driver or charger': 'Alimentation de lampe ou chargeur remplacé',
      'whole luminaire': 'Luminaire entier remplacé',
      other: 'Autre chose, comme un mauvais contact',
    },
    cost: (off, recharge) =>
      `L’alimentation sera coupée pendant ${off}, puis les batteries se rechargent pendant ${recharge}.`,
    notIsolation: NOT_ISOLATION,
    restore: {
      button: 'Rétablir l’alimentation maintenant',
      consequence: 'Le secteur revient maintenant. Cet essai est nul et sera refait.',
      yes: 'Oui, rétablir l’alimentation maintenant',
      no: 'Non, laisser l’essai se poursuivre',
    },
    'clear fault': {
      button: 'Acquitter la panne',
      consequence:
        'Seulement si le relais et son câblage sont réparés et vérifiés : le contrôleur reprendra de lui-même les ' +
        'essais et coupera l’alimentation.',
      yes: 'Oui, réparé : acquitter',
      no: 'Non, ne rien changer',
    },
    hold: {
      button: 'Suspendre les essais',
      consequence:
        'Aucun essai ne commence sur ce circuit avant la fin du délai ou la levée de la suspension. Un essai en ' +
        'cours se termine maintenant et est nul.',
      yes: 'Oui, suspendre les essais',
      no: 'Non, continuer les essais',
    },
    release: {
      button: 'Lever la suspension',
      consequence:
        'Seulement si le travail est terminé : les essais reprennent d’eux-mêmes dans la plage d’essai et coupent ' +
        'l’alimentation.',
      yes: 'Oui, lever la suspension',
      no: 'Non, garder la suspension',
    },
    test: {
      button: 'Lancer un essai maintenant',
      consequence:
        'L’alimentation de ces luminaires est coupée dès que le contrôleur le permet. S’il refuse, il dit pourquoi.',
      yes: 'Oui, lancer l’essai',
      no: 'Non, annuler',
    },
    extend: {
      button: 'Prolonger pour une ronde',
      consequence:
        'L’alimentation reste coupée plus longtemps, et les batteries ont ensuite besoin d’une recharge complète.',
      yes: 'Oui, prolonger l’essai',
      no: 'Non, terminer comme prévu',
    },
    attend: {
      button: 'Je travaille ici',
      consequence:
        'Des essais de ce circuit peuvent maintenant être lancés à la demande, même de jour, mais seulement ses ' +
        'propres jours : des circuits voisins ne sont jamais essayés ensemble.',
      yes: 'Oui, je travaille ici',
      no: 'Non, annuler',
    },
    accept: {
      button: 'Accepter les courants mesurés',
      consequence:
        'Désormais ce luminaire est jugé d’après les courants mesurés. Regardez-le d’abord : il doit être lumineux, ' +
        'propre et intact. Une lampe faible, une fois acceptée, n’est plus jamais signalée.',
      yes: 'Oui, accepter',
      no: 'Non, ne rien changer',
    },
    repaired: {
      button: 'Signaler une réparation',
      consequence:
        'Seulement si le travail est terminé : la réparation entre au registre de sécurité et le luminaire est essayé ' +
        'de nouveau dans la plage d’essai, ce qui coupe l’alimentation de son circuit. Seul un essai réussi lève le ' +
        'défaut.',
      yes: 'Oui, signaler la réparation',
      no: 'Non, pas encore',
    },
    leave: {
      button: 'Je m’en vais',
      consequence: 'Aucun essai ne peut plus être lancé à la demande hors de la plage d’essai.',
      yes: 'Oui, je m’en vais',
      no: 'Non, encore ici',
    },
  },

  progress: {
    accepted: 'ordre accepté.',
    notAccepted: 'ordre non accepté.',
    noAnswer: 'aucune réponse à l’ordre.',
    soFar: (sentence) => `Jusqu’ici : ${sentence}`,
    waiting: (why) => `En attente : ${why}`,
    waitingResult: 'Le résultat est attendu.',
    back: 'L’alimentation est revenue. Le résultat de l’essai est attendu.',
    notBack: 'L’alimentation n’est pas encore revenue.',
    testedSince: 'Il a été essayé depuis ; son état est sur sa page.',
    retestAt: (at) => `Le nouvel essai est prévu : ${at}.`,
    retestOpen: 'Le nouvel essai est en préparation.',
    silent: 'On ne sait pas ce qu’il en est : le contrôleur est muet.',
    held: (held) => `Fait : ${held}.`,
    onHold: 'suspendu',
    notHeld: 'Pas encore suspendu.',
    stillHeld: 'Toujours suspendu.',
    done: (sentence) => `Fait. ${sentence}`,
    notCleared: 'La panne n’est pas encore acquittée.',
    result: (text) => `Résultat : ${text}`,
    notShown: 'Le registre de sécurité ne montre pas encore si le contrôleur a reçu l’ordre.',
  },

  defects: {
    title: (n, unproven) => {
      const told = n === 0 ? 'Aucun défaut ouvert' : count(n, 'défaut ouvert', 'défauts ouverts');
      return unproven === 0
        ? told
        : `${told}, ${count(unproven, 'circuit non prouvé', 'circuits non prouvés')}`;
    },
    overdue: (n) => `${number(n)} en retard`,
    toRetest: (n) => `${count(n, 'réparé et à essayer', 'réparés et à essayer')} de nouveau`,
    ownerless: (n) => `${number(n)} sans responsable`,
    open: 'Ouvert',
    closed: 'Clos',
    retestDue: 'Nouvel essai à faire',
    notProven: 'Non prouvé',
    late: 'En retard',
    closedRange: (from, to, all) => `Clos, ${number(from)} à ${number(to)} sur ${number(all)}`,
    newer: 'Plus récents',
    older: 'Plus anciens',
    forgotten: (n) =>
      `${count(n, 'plus ancien n’est', 'plus anciens ne sont')} que dans le registre de sécurité.`,
    openThenClosed: (n, day, entry) =>
      `Resté ouvert ${days(n)}, clos le ${day} par l’essai réussi de l’inscription ${entry}.`,
    nobodyKnows: 'Personne ne sait depuis quand.',
    openSince: (n, day) => `Ouvert depuis ${days(n)}, depuis ${day}.`,
    notClosedSince: (n, day) => `Non clos depuis ${days(n)}, depuis ${day}.`,
    fails: (n) => `${count(n, 'essai a échoué', 'essais ont échoué')}.`,
    cameBack: (n) => `Revenu ${number(n)} fois après avoir été clos.`,
    noDate: 'pas de date',
    overdueBy: (date, n) => `${date}, en retard de ${days(n)}`,
    repaired: 'réparé',
    ownerAndDate: 'Responsable et date',
    of: (what) => ` de ${what}`,
    noTestNow: 'Sur place, pas d’essai maintenant :',
    ready: (kind) => `Prêt pour le nouvel essai, à lancer maintenant : ${kind}.`,
    sayFirst: 'Signalez d’abord que vous travaillez ici.',
    owner: 'Responsable',
    nobody: 'encore personne',
    due: 'Échéance',
    interim: 'D’ici là',
    noInterim: 'aucune mesure compensatoire inscrite',
    remark: 'Remarque',
    lastRepair: 'Dernière réparation',
    next: 'Ensuite :',
    report: (luminaire) => `Signaler la réparation de ${luminaire}`,
    whoSees: 'Qui s’en occupe',
    protectedBy: 'D’ici là, les personnes sont protégées par',
    enter: 'Inscrire',
    cancel: 'Annuler',
  },

  duties: {
    marks: { 'in order': 'En ordre', 'not in order': 'Pas en ordre', 'not applicable': 'Sans objet' },
    intro:
      'Aucun essai ne voit la saleté, un panneau caché ou un luminaire manquant. Les personnes les voient.',
    overdueAndDue: (overdue, due) => `${obligations(overdue)} en retard, ${number(due)} à faire aujourd’hui.`,
    overdue: (n) => `${obligations(n)} en retard.`,
    dueToday: (n) => `${obligations(n)} à faire aujourd’hui.`,
    nothingDue: 'Rien n’est à faire aujourd’hui.',
    done: 'fait',
    today: 'à faire aujourd’hui',
    overdueSince: (n, date) => `en retard de ${days(n)}, échéance ${date}`,
    dueIn: (n, date) => `à faire d’ici ${days(n)}, ${date}`,
    dueOn: (date) => `échéance ${date}`,
    every: (every, by) => `${every.charAt(0).toUpperCase()}${every.slice(1)}, par ${by}.`,
    last: (day, who) => `Dernière fois le ${day}, ${who}.`,
    never: 'Jamais inscrit.',
    left: (ids, more) => `Reste à voir : ${ids}${more > 0 ? ` et ${number(more)} de plus` : ''}.`,
    enter: 'Inscrire',
    doneBy: (title, at, who) => `${title}, fait le ${at} par ${who}.`,
    refuses: 'L’hôte la refuse :',
    sendAgain: 'Renvoyer',
    notTaken: 'Pas encore reprise :',
    all: 'Tout ce qui a été saisi',
    remove: 'L’effacer de cet appareil',
    outgoing: 'Inscriptions sur cet appareil',
    onDevice: 'Sur cet appareil, pas encore dans le registre de sécurité',
    nothingLost: 'Rien n’est perdu si vous fermez la page.',
    whole: 'Tout le bâtiment',
    area: (name) => `Zone : ${name}`,
    circuit: (id, name) => `Circuit ${id} : ${name}`,
    unanswered: (n) => `${count(n, 'point reste', 'points restent')} sans réponse.`,
    sayWhat: (asked) => `Dites ce qui n’est pas en ordre, ou quel luminaire : « ${asked} »`,
    tooLong: (most, start) => `Utilisez au plus ${number(most)} caractères : « ${start}… »`,
    entryTooLong:
      'L’inscription est trop longue. Nommez moins de luminaires, écrivez moins, ou inscrivez une partie du bâtiment ' +
      'après l’autre.',
    nameMissing: 'Indiquez votre nom : le registre de sécurité note qui a regardé.',
    whenMissing: 'Indiquez le jour et l’heure où cela a été fait.',
    notYet: 'Ce moment n’est pas encore venu.',
    notSo: (asked) => `ce n’est pas le cas : ${asked}`,
    doneNow: 'Fait : maintenant.',
    wasEarlier: 'C’était plus tôt',
    whenDone: 'Quand cela a été fait, à l’heure du bâtiment',
    whichPart: 'Quelle partie',
    restInOrder: 'Tous les autres sont en ordre',
    anythingElse: 'Autre chose',
    storing: 'Enregistrement…',
    enterLog: 'Inscrire au registre de sécurité',
    offline: 'Sans connexion, elle reste sur cet appareil et est envoyée dès qu’il y en a une.',
    written: 'Où cela est écrit',
    practice: 'Les points sont d’usage courant lorsque la source ne les énumère pas.',
    takeAway: 'enlever',
    whichLuminaires: 'Quels luminaires',
    noneNamed: 'Aucun nommé ; choisir…',
    oneMore: 'Un de plus…',
    whatFound: 'Ce qui a été constaté',
    found: 'Constaté par des personnes, et pas inscrit comme en ordre depuis',
    foundBy: (who, day) => `Constaté par ${who}, depuis ${day}.`,
    cannotStore: (why) => `Cet appareil ne peut pas enregistrer l’inscription : ${why}`,
    cannotRead: (why) => `Ce qui attend sur cet appareil ne peut pas être lu : ${why}`,
    strange: 'Quelque chose entre cet appareil et l’hôte répond à sa place.',
  },

  log: {
    filter: 'Filtre',
    circuit: 'Circuit',
    allCircuits: 'Tous les circuits',
    kind: 'Type',
    allKinds: 'Tous les types',
    record: 'Enregistrement',
    number: (n) => `n° ${n}`,
    hash: 'Empreinte',
    showOlder: 'Montrer les inscriptions plus anciennes',
    marks: { pass: 'réussi', fail: 'échoué', void: 'nul', alarm: 'alarme', note: 'note' },
    kinds: {
      failed: 'Essai échoué',
      result: 'Résultat d’essai',
      intent: 'Essai commencé',
      fault: 'Panne ou alarme',
      cleared: 'Panne acquittée',
      outage: 'Coupure du secteur',
      supply: 'Alarme d’alimentation',
      charge: 'Recharge',
      held: 'Essais suspendus',
      reminder: 'Toujours suspendus',
      released: 'Suspension levée',
      overdue: 'Essai en retard',
      order: 'Ordre au contrôleur',
      refused: 'Ordre refusé',
      ordered: 'Ordre envoyé',
      answered: 'Réponse à un ordre',
      kept: 'Mis à part',
      clock: 'Horloge réglée',
      chip: 'Circuit d’horloge',
      start: 'Démarrage du contrôleur',
      attended: 'Électricien au travail',
      baseline: 'Courants des lampes acceptés',
      repaired: 'Réparation',
      defect: 'Qui s’occupe d’un défaut',
      inspection: 'Vu par des personnes',
      site: 'Site modifié',
      listed: 'Luminaires d’un circuit',
    },
    brokenAt: (entry) => `Chaîne rompue à l’inscription ${entry}.`,
    broken: 'Chaîne rompue.',
    keepFile: 'Gardez le fichier tel quel et lancez « logbook verify » pour savoir tout ce qui ne va pas.',
    checkedTo: (checked, all) => `Chaîne vérifiée jusqu’à l’inscription ${checked} sur ${all} pour le moment`,
    restChecked: 'Le reste est en cours de vérification.',
    validNone: 'Chaîne valide, aucune inscription pour le moment',
    valid: (range) => `Chaîne valide, ${range}`,
    checkedAt: (at) => `Vérifiée ${at}. « logbook verify » vérifie les signatures et le fichier lui-même.`,
    entry: (n) => `inscription ${n}`,
    entries: (from, to) => `inscriptions ${from} à ${to}`,
    notLooked: (before) => `Les inscriptions avant ${before} n’ont pas été examinées.`,
    noneOfKind: 'Aucune inscription de ce type.',
    noneFound: 'Aucune trouvée.',
    shown: (n, range) => `Montré ici : ${n}, ${range}.`,
    shownOf: (n, all, range) => `Montré ici : ${n} sur ${all}, ${range}.`,
    shownAll: (all) => `Montré ici : toutes, ${all}.`,
  },

  year: {
    brief: 'Essai de fonctionnement',
    full: 'Essai d’autonomie',
    limited: LIMITED_TITLE,
    recharge: 'Encore en recharge le lendemain',
    under: (hours) => `Exposition de moins de ${number(hours)} h`,
    between: (from, to) => `Exposition de ${number(from)} à ${number(to)} h`,
    more: (hours) => `Exposition de ${number(hours)} h ou plus`,
    key: 'Légende',
    nothing: (month) => `Rien n’est prévu en ${month}.`,
    previous: 'Précédent',
    previousMonth: 'Mois précédent',
    next: 'Suivant',
    nextMonth: 'Mois suivant',
    month: 'Mois',
    plannedTo: (day, exposure) =>
      `Prévu jusqu’au ${day}. Exposition ${exposure} : heures où des personnes sont dans une zone, multipliées par ` +
      'la part de ses luminaires qui ne sont pas prêts.',
    calendar: 'Calendrier du plan',
    calendarMore: ' : s’abonner à ce lien dans une application d’agenda.',
    facts:
      'Une nuit va de midi à midi et figure sous le jour où elle commence. Chaque essai est montré à sa première ' +
      'occasion ; s’il ne peut pas avoir lieu alors, il passe à une nuit suivante.',
    byMonth: 'Mois par mois',
    byNight: (month) => `${month}, nuit par nuit`,
    underTenth: `moins de ${number(0.1, 1)} h`,
    hours: (n) => `${number(n, 1)} h`,
    marks: {
      brief: 'essai de fonctionnement',
      full: 'essai d’autonomie',
      limited: 'essai d’autonomie réduit (2/3)',
      commissioning: 'essai de mise en service',
      recharge: 'recharge',
    },
    on: (mark, list) => `${mark} le ${list}`,
    row: (circuit, told) => `${circuit} : ${told}.`,
    rowNothing: 'rien de prévu',
    inDark: ', dans l’obscurité',
    inDaylight: ', à la lumière du jour',
    exposure: (hours) => `Exposition ${hours}.`,
    fullAgain: (at) => `batteries de nouveau pleines ${at}`,
    rechargingAfter: (kind, full) => `en recharge après : ${kind}, ${full}.`,
  },

  floor: {
    title: 'Plan d’étage',
    plans: 'Plans d’étage',
    states: 'États',
    trouble: 'Circuits en difficulté',
    none: 'Aucun plan d’étage',
    noneMore:
      'Ce bâtiment n’en a pas encore. Son fichier de site peut nommer des images, et la place de chaque luminaire.',
    noPlan: (id) => `Ce bâtiment n’a pas de plan d’étage ${id}`,
    onPlan: 'Sur le plan',
    notPlaced: 'Non placés',
    lamps: 'Luminaires sur le plan',
    picture: (name) => `Plan d’étage : ${name}`,
    noPicture: 'L’image de ce plan ne peut pas être montrée. La liste est complète sans elle ;',
    noPictureMore: 'dit ce qui ne va pas dans l’image.',
    words: (placed, missing) =>
      `${lamps(placed)} sur le plan${missing === 0 ? '' : `, ${count(missing, 'non placé', 'non placés')}`}.`,
    lamp: {
      fail: 'échoué',
      'not known': 'inconnu',
      'retest due': 'nouvel essai à faire',
      'under test': 'en essai',
      void: 'nul',
      untested: 'non essayé',
      pass: 'réussi',
    },
    inTest: 'dans l’essai en cours',
    notTestedSince: 'réparé, et pas essayé depuis',
    neverHeard: 'son contrôleur n’a jamais donné de nouvelles',
    silent: (verdict) => `son contrôleur est muet ; dernier résultat : ${verdict}`,
  },

  placing: {
    start: 'Placer les luminaires',
    how: 'Choisissez un luminaire, puis cliquez à sa place sur le plan.',
    which: 'Luminaire à placer',
    choose: 'En choisir un',
    changed:
      'Rien n’a été enregistré : le fichier du site a été modifié depuis que vous avez commencé. Enregistrez encore une ' +
      'fois pour mettre ces places dans le fichier actuel.',
    forFile: 'Pour le fichier du site',
    toWrite: 'Ce qu’il faut y écrire à chaque luminaire :',
    form: 'Enregistrer les places',
    saving: 'Enregistrement…',
    save: (n) => `Enregistrer ${count(n, 'place', 'places')}`,
    spot: (across, down) => `${percent(across)} % depuis la gauche, ${percent(down)} % depuis le haut`,
    notYet: 'pas encore sur le plan',
    noneChosen: 'Aucun luminaire n’est choisi.',
    byKeys: (id) => `Déplacer ${id} avec les flèches`,
    takeOff: (id) => `Retirer ${id} du plan`,
    stop: 'Cesser de placer',
    stopUnsaved: 'Cesser sans enregistrer',
    unanswered:
      'Aucune réponse de l’hôte : c’est peut-être enregistré, peut-être pas. Rechargez la page et regardez avant de ' +
      'recommencer.',
  },

  reports: {
    intro:
      'Tous les résultats d’une période, ce qui était en retard ou manque, et ce qui est défectueux : en PDF à signer ' +
      'et à classer, ou en tableau. Les rapports sont en anglais.',
    label: 'Rapport',
    first: 'Premier jour',
    last: 'Dernier jour',
    paper: 'Papier',
    letter: 'Lettre US',
    making: 'En préparation…',
    makePdf: 'Établir le PDF',
    makeTable: 'Établir le tableau',
    made: (name) => `Établi : ${name}`,
    giveDates: 'Indiquez le premier et le dernier jour.',
    wrongOrder: 'Le dernier jour précède le premier.',
  },

  host: {
    silent: 'L’hôte ne répond pas. Vérifiez qu’il fonctionne et que cet appareil est sur son réseau.',
    nothingHere: 'L’hôte n’a rien à cette adresse. Vérifiez l’adresse.',
    failed: (status) => `L’hôte n’a pas pu répondre (${status}). Réessayez dans un instant.`,
    noAnswer:
      'Aucune réponse de l’hôte : l’ordre est peut-être arrivé, peut-être pas. Surveillez le circuit ; si le secteur ' +
      'reste coupé, utilisez l’interrupteur à clé.',
    noReport: 'L’hôte n’a pas répondu. Vérifiez qu’il fonctionne, et réessayez.',
    reportFailed: (status) => `L’hôte n’a pas pu établir le rapport (${status}).`,
  },
};
