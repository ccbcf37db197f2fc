// What the host says of the site file and its batteries, in Italian; see said.ts.
import type { SaidOfSite } from './saidOfSite';

export const saidOfSite: SaidOfSite = {
  'Name of the building': 'Nome dell’edificio',
  'Person responsible': 'Persona responsabile',
  'Time zone': 'Fuso orario',
  'Rule profile': 'Regole applicate',
  'Compliance schedule': 'Programma di conformità (compliance schedule)',
  'Agreement of the authority': 'Accordo dell’autorità',
  'Tests on top of the rule': 'Prove oltre la regola',
  'Windows for tests': 'Fasce orarie per le prove',
  'Opening hours': 'Orari di apertura',
  'Days the building is closed': 'Giorni di chiusura dell’edificio',
  'Days without tests': 'Giorni senza prove',
  'Most circuits tested at the same time': 'Numero massimo di circuiti provati insieme',
  'Time between two starts in one night, s': 'Tempo fra due inizi di prova in una notte, s',
  'Where the building is': 'Posizione dell’edificio',
  'Days on which someone can deal with a failed test':
    'Giorni in cui qualcuno può occuparsi di una prova non superata',
  'Does a central battery system or panel feed any of the lighting?':
    'Un soccorritore o un quadro centrale alimenta parte dell’illuminazione?',
  'Its number or name': 'Il suo numero o nome',
  'Most days between two function tests': 'Numero massimo di giorni fra due prove di funzionamento',
  'Most days between two duration tests': 'Numero massimo di giorni fra due prove di autonomia',
  'Least length of a duration test, min': 'Durata minima di una prova di autonomia, min',
  'Who agreed, and the date or number of the letter': 'Chi ha dato l’accordo, e data o numero della lettera',
  'Days between function tests': 'Giorni fra le prove di funzionamento',
  'Days between duration tests': 'Giorni fra le prove di autonomia',
  'Latitude, degrees, south negative': 'Latitudine in gradi, sud negativo',
  'Longitude, degrees, west negative': 'Longitudine in gradi, ovest negativo',
  Id: 'Identificativo',
  'Name of the floor': 'Nome del piano',
  'Name of the area': 'Nome della zona',
  Floor: 'Piano',
  'Areas an escape route leads into directly': 'Zone in cui porta direttamente una via di fuga',
  'Hours when people are there': 'Orari in cui vi sono persone',
  'Are people there day and night?': 'Vi sono persone giorno e notte?',
  'Do people sleep there?': 'Vi dormono persone?',
  'Are other areas left through it, as by a stair?':
    'Si esce da altre zone passando di qui, come da una scala?',
  'Name of the circuit': 'Nome del circuito',
  'Does the relay also switch off normal lighting?': 'Il relè spegne anche l’illuminazione normale?',
  'Is an auxiliary contact of the relay wired?': 'È cablato un contatto ausiliario del relè?',
  'Charging current right after a duration test, mA':
    'Corrente di carica subito dopo una prova di autonomia, mA',
  'Time without movement until it counts as empty, s':
    'Tempo senza movimento prima che sia considerato vuoto, s',
  'Rated duration of its luminaires, min': 'Autonomia nominale dei suoi apparecchi, min',
  'Batteries of its luminaires': 'Batterie dei suoi apparecchi',
  'Date their batteries were fitted': 'Data di montaggio delle loro batterie',
  'Usual temperature at the batteries, °C': 'Temperatura abituale alle batterie, °C',
  'Current modules on a bus': 'Moduli di corrente su un bus',
  'Speed, bit/s': 'Velocità, bit/s',
  Parity: 'Parità',
  'Kind of registers': 'Tipo di registri',
  'Register of the current': 'Registro della corrente',
  'mA for one count of the register': 'mA per ogni unità del registro',
  Place: 'Posto',
  'Area it stands in': 'Zona in cui si trova',
  'Areas its light falls on': 'Zone che illumina',
  Mode: 'Modo di funzionamento',
  'Lamp current on battery, mA': 'Corrente della lampada a batteria, mA',
  'Lamp current on mains, mA': 'Corrente della lampada in rete, mA',
  'Rated duration, min': 'Autonomia nominale, min',
  Battery: 'Batteria',
  'Date the battery was fitted': 'Data di montaggio della batteria',
  'Dates its earlier batteries were fitted': 'Date di montaggio delle sue batterie precedenti',
  'Usual temperature at the battery, °C': 'Temperatura abituale alla batteria, °C',
  'Address of its current module on the bus': 'Indirizzo del suo modulo di corrente sul bus',
  'Its currents were': 'Le sue correnti sono',
  measured: 'misurate',
  "Expected, e.g. by the maker's data: the luminaire is listed as not proven until its measured currents are accepted.":
    'Attese, p. es. secondo il costruttore: l’apparecchio figura come non accertato finché le sue correnti misurate non sono accettate.',
  'a whole number from {n} to {n2}': 'un numero intero da {n} a {n2}',
  'a number from {n} to {n2}': 'un numero da {n} a {n2}',
  'a number above 0, up to {n}': 'un numero maggiore di 0, fino a {n}',
  'one of: {text}': 'uno di: {text}',
  '1 to 24 lower-case letters, digits or hyphens': 'da 1 a 24 lettere minuscole, cifre o trattini',
  '1 to 24 letters, digits or hyphens': 'da 1 a 24 lettere, cifre o trattini',
  'none; a profile that follows one needs it': 'nessuno; regole che ne dipendono lo richiedono',
  "the rule's own interval": 'l’intervallo della regola stessa',
  'only the tests the rule asks for': 'solo le prove che la regola chiede',
  none: 'nessuno',
  'not known: daylight or dark is not shown': 'non nota: giorno o buio non è mostrato',
  'every day': 'ogni giorno',
  'none, unless the other area names this one': 'nessuna, salvo che l’altra zona nomini questa',
  "the building's opening": 'gli orari di apertura dell’edificio',
  'found from the floors it joins': 'dedotto dai piani che collega',
  'no sensor is fitted': 'nessun sensore montato',
  'each luminaire says it': 'indicato per ogni apparecchio',
  'each luminaire with a module says it': 'indicato per ogni apparecchio con modulo',
  'not known': 'non noto',
  '19200 bit/s, even parity, input registers': '19200 bit/s, parità pari, registri di ingresso',
  even: 'pari',
  input: 'registri di ingresso',
  'its own area': 'la propria zona',
  'dark on mains; a mode that is lit on mains needs it':
    'spento in rete; un modo acceso in rete ne ha bisogno',
  'what its circuit says; one of the two must say it':
    'quanto indica il suo circuito; uno dei due deve indicarlo',
  'what its circuit says, else not known': 'quanto indica il suo circuito, altrimenti non noto',
  "the controller's own converter reads it": 'lo legge il convertitore della centralina',
  'what its circuit says; needed with a module': 'quanto indica il suo circuito; necessario con un modulo',
  'Printed on pages and reports.': 'Compare su pagine e rapporti.',
  'All hours in the file are local.': 'Tutti gli orari del file sono locali.',
  'Sets intervals and lengths of tests.': 'Stabilisce intervalli e durate delle prove.',
  'Where each building has its own rule.': 'Dove ogni edificio ha la propria regola.',
  'Where the rule lets the authority extend its interval.':
    'Dove la regola permette all’autorità di allungare l’intervallo.',
  'Tests on top of the rule: function tests where nobody is there or someone looks in for at most half an hour; duration tests also where people are there for up to half a day, the more rarely the more they meet.':
    'Prove oltre la regola: prove di funzionamento dove non c’è nessuno o qualcuno passa per mezz’ora al massimo; prove di autonomia anche dove vi sono persone fino a mezza giornata, tanto più rare quanto più le riguardano.',
  'The longest must hold the longest test and 5 minutes; across noon it counts as two.':
    'La più lunga deve contenere la prova più lunga e 5 minuti; a cavallo di mezzogiorno conta per due.',
  'None means that nobody is ever there.': 'Nessuno significa che non c’è mai nessuno.',
  'Tests are planned around these hours.': 'Le prove sono pianificate al di fuori di questi orari.',
  'Nobody is there on these days.': 'In questi giorni non c’è nessuno.',
  'A window that touches one of these days is left out.':
    'Una fascia oraria che tocca uno di questi giorni è omessa.',
  'Where the building is, for sunrise and sunset.': 'Posizione dell’edificio, per alba e tramonto.',
  'Its indicators are looked at every day.': 'Le sue spie sono guardate ogni giorno.',
  'Areas an escape route leads into directly.': 'Zone in cui porta direttamente una via di fuga.',
  'Neighbours are never without their light in one night.':
    'Zone vicine non sono mai senza luce nella stessa notte.',
  'None: never.': 'Nessuno: mai.',
  'Counts as always occupied.': 'Vale come sempre occupata.',
  'Two ways out of one area are never tested in one night.':
    'Due uscite da una zona non sono mai provate nella stessa notte.',
  "The controller's id, too.": 'Anche l’identificativo della centralina.',
  'Find out at commissioning.': 'Da accertare alla messa in servizio.',
  'Such a circuit is tested only while the area is empty.':
    'Un tale circuito è provato solo quando la zona è vuota.',
  'Limited duration tests (2/3) are planned, and the duration test stays owed.':
    'Sono pianificate prove di autonomia ridotta (2/3), e la prova di autonomia resta dovuta.',
  'Only for a shared circuit.': 'Solo per un circuito condiviso.',
  'Only where current modules on a bus read the lamps.':
    'Solo dove moduli di corrente su un bus leggono le lampade.',
  'Unique in the building; its results stay with it.': 'Unico nell’edificio; i risultati vi restano legati.',
  'All areas its light falls on.': 'Tutte le zone che illumina.',
  'Maintained and switched maintained are lit on mains, non-maintained and combined (its emergency lamp) are dark.':
    'Permanente e permanente comandato sono accesi in rete; non permanente e combinato (la sua lampada di emergenza) sono spenti.',
  'Measured at commissioning: the lamp is judged by it. 0.3 A is 300.':
    'Misurata alla messa in servizio: la lampada è giudicata in base a essa. 0,3 A si scrive 300.',
  'Check refuses a date after today.': 'Una data dopo oggi è rifiutata.',
  'Nothing was saved: {said}': 'Niente è stato salvato: {said}',
  'the site file has been changed since you opened it, in another window or in the file itself.':
    'il file del sito è stato modificato da quando Lei lo ha aperto, in un’altra finestra o a mano.',
  'Load the page again and enter your change once more.':
    'Ricarichi la pagina e inserisca la modifica ancora una volta.',
  'the host is still taking over the last change; save again when it has.':
    'l’host sta ancora adottando l’ultima modifica; salvi di nuovo quando ha finito.',
  'the host still waits with the last change: {said}': 'l’host aspetta ancora con l’ultima modifica: {said}',
  'the last change was saved, but the host does not work with it yet; start the host again.':
    'l’ultima modifica è stata salvata, ma l’host non lavora ancora con essa; riavvii l’host.',
  '{text} was changed by hand since the host was started; start the host again, or put the file back as it was.':
    '{text} è stato modificato a mano da quando l’host è stato avviato; riavvii l’host, oppure rimetta il file com’era.',
  'these are {n} changes, and at most {n2} are saved at once; save some of them first.':
    'sono {n} modifiche, e se ne salvano al massimo {n2} alla volta; ne salvi prima una parte.',
  'Nothing was changed.': 'Niente è stato modificato.',
  'Save it when the test is over.': 'Salvi quando la prova è finita.',
  'a test is running on circuit {id}, which this changes.':
    'sul circuito {id}, che questo modifica, è in corso una prova.',
  'a test was running on circuit {id}, which this changes, when its controller was last heard; if the controller is gone for good, change the file itself, and start the host again.':
    'sul circuito {id}, che questo modifica, era in corso una prova quando la sua centralina è stata sentita l’ultima volta; se la centralina non c’è più, modifichi il file stesso e riavvii l’host.',
  'a test was running on circuit {id}, which this changes, when its controller was last heard; if the controller is gone for good, start the host again.':
    'sul circuito {id}, che questo modifica, era in corso una prova quando la sua centralina è stata sentita l’ultima volta; se la centralina non c’è più, riavvii l’host.',
  'a tester fault is reported on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'sul circuito {id} è segnalato un guasto del dispositivo di prova, e il suo allarme sparirebbe con esso; se il circuito non c’è più, modifichi il file stesso e riavvii l’host.',
  'a tester fault is reported on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'sul circuito {id} è segnalato un guasto del dispositivo di prova, e il suo allarme sparirebbe con esso; se il circuito non c’è più, riavvii l’host.',
  'the mains is missing on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'il circuito {id} è senza rete, e il suo allarme sparirebbe con esso; se il circuito non c’è più, modifichi il file stesso e riavvii l’host.',
  'the mains is missing on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'il circuito {id} è senza rete, e il suo allarme sparirebbe con esso; se il circuito non c’è più, riavvii l’host.',
  'tests are held on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'sul circuito {id} le prove sono sospese, e il suo allarme sparirebbe con esso; se il circuito non c’è più, modifichi il file stesso e riavvii l’host.',
  'tests are held on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'sul circuito {id} le prove sono sospese, e il suo allarme sparirebbe con esso; se il circuito non c’è più, riavvii l’host.',
  'the supply is not proven on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'sul circuito {id} l’alimentazione non è accertata, e il suo allarme sparirebbe con esso; se il circuito non c’è più, modifichi il file stesso e riavvii l’host.',
  'the supply is not proven on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'sul circuito {id} l’alimentazione non è accertata, e il suo allarme sparirebbe con esso; se il circuito non c’è più, riavvii l’host.',
  'Saved, and entered in the log book.': 'Salvato e annotato nel registro dei controlli.',
  'The host is taking it over.': 'L’host lo sta adottando.',
  'This is a demonstration, and its building is fixed.':
    'Questa è una dimostrazione, e il suo edificio è fisso.',
  'Start the host with a site file of your own, nightproof serve SITE.yaml, to change it here.':
    'Avvii l’host con un file del sito Suo, nightproof serve SITE.yaml, per modificarlo qui.',
  'This host was started with a site that stays as it is.':
    'Questo host è stato avviato con un edificio che resta com’è.',
  '{n} to {n2} characters': 'da {n} a {n2} caratteri',
  'a real date, YYYY-MM-DD': 'una data reale, AAAA-MM-GG',
  'must be {said}, but is {text}; write {text2}.': 'ci vuole {said}, ma c’è {text}; scriva {text2}.',
  'must be {said}, but is {text}; did you mean {text2}?':
    'ci vuole {said}, ma c’è {text}; intendeva {text2}?',
  'must be {said}, but is {text}.': 'ci vuole {said}, ma c’è {text}.',
  'is missing; it must be {said}.': 'manca; ci vuole {said}.',
  'is missing; write it for the luminaire or once for its circuit.':
    'manca; lo indichi per l’apparecchio o una volta per il suo circuito.',
  'is missing; a {mode} luminaire is lit on mains, so write its current.':
    'manca; in questo modo ({mode}) è acceso in rete, indichi quindi la sua corrente.',
  'the emergency lamp of a {mode} luminaire is dark on mains; remove this field.':
    'in questo modo ({mode}) la lampada di emergenza è spenta in rete; svuoti questo campo.',
  'there is another {thing} "{id}"; give each one its own id.':
    'l’identificativo «{id}» è già usato ({thing}); ognuno deve avere il proprio.',
  'no luminaire is in area "{id}" or lights it; name it as area or in serves of a luminaire, or remove it.':
    'nessun apparecchio è nella zona «{id}» o la illumina; la scelga per un apparecchio, oppure la tolga.',
  'circuit "{id}" has {n} luminaires, but a controller has {n2} sensor inputs; move the rest to another circuit.':
    'il circuito «{id}» ha {n} apparecchi, ma una centralina ha {n2} ingressi per sensori; metta gli altri in un altro circuito.',
  'only a shared circuit waits for an empty area; remove this field.':
    'solo un circuito condiviso aspetta una zona vuota; svuoti questo campo.',
  'people sleep in area "{id}", which counts as always occupied; remove this field.':
    'nella zona «{id}» si dorme, vale come sempre occupata; svuoti questo campo.',
  '{id} is after today, {id2}; write the date on which the battery was fitted.':
    '{id} è dopo oggi, {id2}; indichi la data in cui la batteria è stata montata.',
  'There is no {thing} "{id}" in the site file any more; load the page again.':
    '«{id}» ({thing}) non c’è più nel file del sito; ricarichi la pagina.',
  'No one is recorded as working there.': 'Nessuno vi è annotato al lavoro.',
  'That time is already over; give a later end.': 'Quel momento è già passato; indichi una fine più tardiva.',
  'The time must be at least {n} min.': 'La durata deve essere di almeno {n} min.',
  'There is no plan yet; run the host with this site first.':
    'Non c’è ancora un piano; faccia prima funzionare l’host con questo edificio.',
  'The site file does not allow tests on {id}.': 'Il file del sito non permette prove il {id}.',
  'The log book holds no complete test of circuit {id} as it is wired now.':
    'Il registro non contiene alcuna prova completa del circuito {id} com’è cablato ora.',
  'Test it first.': 'Lo provi prima.',
  'Every luminaire of circuit {id} is judged by measured currents already.':
    'Ogni apparecchio del circuito {id} è già giudicato secondo correnti misurate.',
  'No {kind} has judged it by its measured currents yet.':
    'Non ancora giudicato secondo le sue correnti misurate; manca: {kind}.',
  'Circuit {id} has no luminaire {id2}.': 'Il circuito {id} non ha un apparecchio {id2}.',
  'Circuit {id} has no open defect.': 'Il circuito {id} non ha anomalie aperte.',
  'Luminaire {id} has no open defect.': 'L’apparecchio {id} non ha anomalie aperte.',
  'The due date {id} is more than ten years away; give one up to {id2}.':
    'La scadenza {id} è fra più di dieci anni; ne indichi una fino al {id2}.',
  'Give an owner, a due date, an interim measure or a remark; nothing was entered.':
    'Indichi un incaricato, una scadenza, una misura provvisoria o un’osservazione; niente è stato annotato.',
  'The log book has no entry {n}.': 'Il registro non ha l’annotazione {n}.',
  'Entry {n} is no repair and no inspection of this site: nothing else can be withdrawn.':
    'L’annotazione {n} non è una riparazione né un’ispezione di questo edificio: nient’altro si può ritirare.',
  'Entry {n} was withdrawn before, by {text} on {day}.':
    'L’annotazione {n} è già stata ritirata, da {text} il {day}.',
  'Entry {n} was withdrawn before.': 'L’annotazione {n} è già stata ritirata.',
  'Say why it is withdrawn.': 'Dica perché è ritirata.',
  'Give the time at which it was done.': 'Indichi quando è stato fatto.',
  'The controller is updated within a minute or two.': 'La centralina è aggiornata entro uno o due minuti.',
  'The battery was probably changed; write its date into the site file (batteryFitted).':
    'La batteria è stata probabilmente sostituita; ne scriva la data nel file del sito (batteryFitted).',
  'Too little data: {said}.': 'Troppo pochi dati: {said}.',
  '{n} of {n2} failures are of batteries whose date is not in the site file; write it there (batteriesBefore)':
    '{n} guasti su {n2} riguardano batterie la cui data non è nel file del sito; la scriva lì (batteriesBefore)',
  '{n} seen to last and later fall short from age; {n2} are needed':
    '{n} sono prima durate e poi non più per invecchiamento; ne servono {n2}',
  'the known lives do not yet tell short from long ones':
    'le durate note non distinguono ancora quelle brevi da quelle lunghe',
  'Probably lasts its rated duration until {month}; 90 % of such batteries fall short between {month2} and {month3}.':
    'Mantiene probabilmente la sua autonomia nominale fino a {month}; il 90 % di queste batterie non la raggiunge più fra {month2} e {month3}.',
  now: 'adesso',
  'after {n}': 'dopo il {n}',
  'An estimate from {n} batteries of its type that failed from age.':
    'Una stima da {n} batterie del suo tipo, guaste per invecchiamento.',
  'Tests can be started on demand from {moment} to {moment2}; the controller is updated within a minute or two.':
    'Le prove possono essere avviate a comando da {moment} a {moment2}; la centralina è aggiornata entro uno o due minuti.',
};
