"""The words that a typed outline is read by, English and Spanish. The tables are ours."""

import re
import unicodedata

from pacer.plan.kinds import KindName

# Spelled without accents, as ``folded`` gives them; a phrase is words with one blank between.
_KIND_PHRASES: dict[KindName, str] = {
    "warm-up": (
        "warm up|warmup|skip count|skip counting|count by|counting by|choral count|mental math|fluency|hook"
        "|number talk|do now|bell work|bellwork|opener|opening|morning message|calendar|chant"
        "|starter|launch|greeting|welcome|morning meeting|einstieg|aufwarmen|rituel|rituels|accueil|entree"
        "|aquecimento|acolhida|accoglienza|saludo|saudacao|bell ringer|anticipatory set|engage"
        "|calentamiento|contar|contamos|conteo|calculo mental|inicio|entrada|apertura|activacion"
    ),
    "review": (
        "review|reviewing|yesterday|homework check|check homework|go over homework|homework|spiral"
        "|recap|retrieval|wiederholung|revision|revisao|retomada|rappel|ripasso"
        "|repaso|repasar|repasamos|revisar|tarea|ayer"
    ),
    "modeling": (
        "model|models|modeling|modelling|modeled|demonstrate|demo|i do|teach|teaching|direct instruction"
        "|mini lesson|minilesson|think aloud|example|examples|explain|introduce|introduction|intro"
        "|read aloud|instruction"
        "|explicit teaching|mini leccion|erarbeitung|erklarung|decouverte|explication|demonstracao|explicacao"
        "|spiegazione|teacher input"
        "|modelar|modelado|modelo|modelamos|ejemplo|ejemplos|explicar|explicacion|demostrar|demostracion"
        "|yo hago|ensenar|introduccion|presentacion|leccion"
    ),
    "vocabulary": "vocabulary|vocab|word|words|word wall|vocabulario|palabra|palabras|terms|terminos",
    "partner-talk": (
        "partner|partners|partner talk|turn and talk|think pair share|pair share|pair|pairs|buddy|buddies"
        "|elbow partners|talk|pareja|parejas|hablar|hablamos|conversar|companero|companera|companeros"
    ),
    "guided-practice": (
        "guided practice|guided|practice|practise|practicing|we do|try|try it|try together|whiteboards"
        "|work together|together|practica|practicar|practicamos|practica guiada|intentar|nosotros hacemos"
        "|juntos"
    ),
    "look-back": (
        "look back|lookback|exit ticket|exit slip|exit|closing|closure|close|wrap up|wrapup|reflect"
        "|reflection|summary|summarize|debrief"
        "|plenary|exit card|ticket|abschluss|sicherung|bilan|cloture|fechamento|encerramento|chiusura"
        "|mirar atras|cierre|reflexion|reflexionar|resumen|resumir|boleto de salida|repaso final|salida"
    ),
    "move": (
        "move|moves|moving|transition|line up|switch|swap|rotate|clean up|cleanup|tidy|tidy up|pack up"
        "|put away|go to groups|find your group|find groups|get ready|set up"
        "|mover|movernos|nos movemos|transicion|cambio|ir a grupos|recoger|limpiar|aufraumen|ranger|arrumar"
    ),
    "group": (
        "group|groups|small group|small groups|group work|station|stations|rotation|rotations|center"
        "|centers|centre|centres|table work|workshop time"
        "|grupo|grupos|grupos pequenos|estacion|estaciones|rotacion|rotaciones|centros"
    ),
    "share": (
        "share|shares|sharing|share out|group share|gallery walk|authors chair|compartir|compartimos"
        "|mise en commun|partilha"
    ),
    # Looks like another kind and is none of them.
    "other": (
        "independent practice|independent work|independent|you do|whole group|whole class|grupo entero"
        "|trabajo independiente|tu haces|toda la clase"
    ),
}  # fmt: skip
_KINDS = {phrase: kind for kind, phrases in _KIND_PHRASES.items() for phrase in phrases.split("|")}
_LONGEST = max(len(phrase.split()) for phrase in _KINDS)
_WORD = re.compile(r"[^\W\d_]+")
_MOST = 200
_LONGEST_PHRASE = 24

HOUR_WORDS = "hours?|hrs?|h|horas?|std|stunden?|heures?|ore|ora|uur|час(?:а|ов)?|小时|小時|時間"
MINUTE_WORDS = (
    "minutes?|mins?|mn|m|minutos?|minuten|minut[io]|minut[aey]?|minuter|minuut|dakika|menit|मिनट|λεπτ[άό]|минут[аы]?|мин|分钟|分鐘|分|분|دقيقة|دقائق"
    "|דקות|דקה|phút"
)
SECOND_WORDS = "seconds?|secs?|s|segundos?|segs?|seg|sekunden?|sek|secondes?|сек(?:унд[аы]?)?|秒"
NUMBER_WORDS: dict[str, str] = {
    "half an": "0.5", "half a": "0.5", "an": "1", "a": "1", "one": "1", "two": "2", "three": "3",
    "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9", "ten": "10",
    "twelve": "12", "fifteen": "15", "twenty": "20", "thirty": "30", "un": "1", "media": "0.5",
    "dos": "2", "tres": "3", "cuatro": "4", "cinco": "5", "seis": "6", "siete": "7", "ocho": "8",
    "nueve": "9", "diez": "10", "doce": "12", "quince": "15", "veinte": "20", "treinta": "30",
    "uma": "1", "um": "1", "une": "1", "eine": "1", "duas": "2", "deux": "2", "zwei": "2", "três": "3",
    "trois": "3", "drei": "3", "quatro": "4", "quatre": "4", "vier": "4", "cinq": "5", "fünf": "5",
    "sechs": "6", "sete": "7", "sieben": "7", "oito": "8", "huit": "8", "acht": "8", "nove": "9", "neuf": "9",
    "neun": "9", "dez": "10", "dix": "10", "zehn": "10", "doze": "12", "douze": "12", "zwölf": "12",
    "quinze": "15", "fünfzehn": "15", "vinte": "20", "vingt": "20", "zwanzig": "20", "trinta": "30",
    "trente": "30", "dreißig": "30", "meia": "0.5", "halbe": "0.5",
}  # fmt: skip
# Lengths of time that are said without a figure, in minutes.
SPAN_PHRASES: dict[str, int] = {
    **dict.fromkeys(("half an hour", "half hour", "half-hour", "media hora", "meia hora", "demi-heure",
        "une demi-heure", "halbe stunde", "eine halbe stunde", "mezz'ora", "mezza ora", "halfuur"), 30),
    **dict.fromkeys(("quarter of an hour", "a quarter of an hour", "quarter hour", "cuarto de hora",
        "un cuarto de hora", "quarto de hora", "um quarto de hora", "quart d'heure", "un quart d'heure",
        "viertelstunde", "eine viertelstunde", "quarto d'ora", "un quarto d'ora"), 15),
    **dict.fromkeys(("three quarters of an hour", "tres cuartos de hora", "três quartos de hora",
        "trois quarts d'heure", "dreiviertelstunde", "eine dreiviertelstunde"), 45),
    **dict.fromkeys(("hour and a half", "an hour and a half", "hora y media", "una hora y media",
        "hora e meia", "uma hora e meia", "une heure et demie", "anderthalb stunden"), 90),
}  # fmt: skip


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


def _phrases(phrases: str) -> frozenset[str]:
    return frozenset(phrases.split("|"))


# A number after one of these names something: "page 12", "grade 4", "by 3".
NAMING = _set(
    "page pages p pp pg pgs grade gr problem prob question q no nr number nos lesson lessons unit week day"
    " module chapter ch part step slide figure fig item exercise ex row level book volume vol set verse"
    " paragraph by to within than of"
    " january february march april may june july august september october november december"
    " pagina paginas pag grado problema pregunta numero leccion unidad semana dia capitulo parte paso"
    " ejercicio nivel libro hasta hoja aufgabe seite"
)
# So do two or more numbers after one of these: "problems 3-5"; a single one may be minutes.
NAMING_MANY = _set(
    "problems probs questions numbers items exercises steps parts lines rows levels verses strips cards"
    " problemas preguntas numeros ejercicios niveles"
)
# A number after one of these may be either: read as minutes, and shown to her.
MAYBE_NAMING = _set(
    "problems probs questions numbers items exercises steps parts lines rows levels verses problemas"
    " preguntas numeros ejercicios group groups table tables station stations round rounds strip strips"
    " card cards choose pick find add multiply divide subtract times plus minus and or grupo grupos"
    " mesa mesas ronda tabla y o"
)
# A number before one of these counts things.
COUNTED = _set(
    "problem problems example examples question questions word words page pages student students kid kids"
    " child children pair pairs partner partners group groups table tables time times way ways sentence"
    " sentences strip strips card cards round rounds step steps thing things fact facts item items piece"
    " pieces volunteer volunteers more new per percent x digit digits paragraphs paragraph books"
    " problema problemas ejemplo ejemplos pregunta preguntas palabra palabras pagina paginas estudiantes"
    " ninos parejas grupos veces oraciones tarjetas cosas"
)
RATES = _set("per each every apiece por cada")
# A second time after one of these is a remark on the first: "5 min, or 8 if they are slow".
OR_WORDS = _set(
    "or not but was took last less more if stop instead until unless except mas menos pero si o ou oder"
    " maximal yesterday before normally usually"
)
# A figure with a colon after one of these is a time of day, as it is where a line speaks of these things.
AT_WORDS = _set(
    "starts start begins begin ends end over at by until till before after"
    " um bis vor ab a las hasta antes desde as ate vers avant bell"
)
TIME_OF_DAY_AFTER = _set(
    "bell bells lunch recess dismissal dismiss buses bus pickup specials timbre almuerzo recreo salida mittag"
    " pausenklingel recre cantine almoco recreio"
)
# What may lead to a range of times of day.
CLOCK_LEADS = _set("de from von das des da do dalle between entre zwischen um at las a aproximadamente time")
# The last line of a day that has no end is an end itself where it says one of these.
PAUSE_WORDS = _set(
    "lunch recess dismissal break bell specials almuerzo recreo mittag almoco recreio cantine recreation bus"
    " buses home pause pausa intervalo dejeuner hofpause grosse sortie salida specialists"
)
# A line that begins with one of these and has a time in its sentence is part of what she says and does.
SCRIPT_WORDS = _set(
    "wait pause give allow say ask tell show hold let have remind pass call point esperar espera espere dar"
    " de da diga di pregunta pergunte warte warten attendre laisser aguarde"
)
# Words before a time in a sentence that are no title: "Then 10 minutes of modeling".
LEAD_WORDS = _set(
    "a an and then next first second last lastly finally start begin finish end open close with after that we"
    " they i do have spend take use about for now so ok okay luego despues entonces empezar terminar con"
    " depois dann danach puis ensuite zuerst zuletzt come comes let lets us the by another"
)
# Words that lead to a time and are no part of a title or of what follows.
BEFORE_TIME = _set(
    "about approx approximately ca around roughly for in spend take use max maximum circa maybe lasts takes"
    " unos unas aprox aproximadamente durante por en ungefahr from etwa environ env pendant last"
    " uma una une eine"
)
AFTER_TIME = _set("on to for of de del para")

END_WORDS = _set(
    "end ends ende done finish finished stop over dismiss dismissal bell fin final termina timbre campana"
)
TOTAL_WORDS = _set(
    "total totals sum altogether gesamt suma summe totales totale gesamtzeit gesamtdauer somme"
)
WITH_TOTAL = _set(
    "in all total totals sum altogether time minutes min mins lesson mini en de tiempo gesamt suma summe"
    " the whole is for leccion minutos duration length duree dauer duracion duracao tempo temps zeit class da"
    " du"
    " totale gesamtzeit gesamtdauer somme period time needed planned"
)
LENGTH_LABELS = _set(
    "time length duration minutes tiempo duracion dauer zeit duree duracao tempo timing min mins budget"
)
# Words that count the parts of a plan and name none: "Step 1: Launch", "Slide 4".
ORDINALS = _set(
    "step part phase stage slide segment section activity paso parte fase etapa etape schritt teil actividad"
)
SECTION_PHRASES = _phrases(
    "mini lesson|minilesson|whole group|whole class|workshop|math workshop|writing workshop|reading workshop"
    "|math block|block|lesson|mini leccion|minileccion|leccion|taller|bloque|grupo entero"
)
TITLE_LABELS = _phrases("lesson|title|topic|leccion|titulo|tema|lesson title|todays lesson")
ABOUT_LABELS = _phrases(
    "objective|objectives|goal|goals|learning target|target|learning goal|materials|material|standard"
    "|standards|date|subject|grade|class|essential question|focus|unit|teacher|room|homework|period|swbat"
    "|i can|objetivo|objetivos|meta|materiales|estandar|estandares|fecha|materia|grado|maestra|maestro"
    "|tarea|unidad|assessment|prep|preparation|key vocabulary|accommodations|extension|source|theme"
    "|grade level|thema|klasse|fach|ziel|lernziel|datum|objectif|objectifs|matiere|classe|niveau|turma"
    "|disciplina|habilidade|data|serie|teks|ccss|procedure|procedures|learning objective|content objective"
    "|language objective|success criteria|supplies|needs|before class|after class|bring"
)
MAIL_LABELS = _phrases(
    "from|to|sent|cc|bcc|subject|date|re|fwd|reply to|attachments|von|an|betreff|gesendet|de|para|asunto"
    "|assunto|enviado|objet|envoye"
)
# What a mail begins and ends with.
GREETINGS = _phrases(
    "hi|hello|hey|dear|thanks|thank|thx|cheers|best|regards|sincerely|love|see|good|hola|gracias|saludos|ola"
    "|obrigada|obrigado|bonjour|merci|hallo|danke|liebe|viele|lg|ps|looks|here|note to self|fyi|reminder"
    "|yes|no"
)
HOMEWORK = _phrases("homework|tarea|devoirs|hausaufgabe|hausaufgaben|licao de casa|dever de casa|compiti")
DAYS = _set(
    "monday tuesday wednesday thursday friday mon tue tues wed thu thurs fri lunes martes miercoles jueves"
    " viernes morning afternoon segunda terca quarta quinta sexta lundi mardi mercredi jeudi vendredi montag"
    " dienstag mittwoch donnerstag freitag day dia tag jour"
)
# Who speaks in a script that stands below a phase.
# What a mail ends with; names and rooms follow.
CLOSINGS = _set(
    "best thanks thank thx cheers regards sincerely love gracias saludos obrigada obrigado merci danke"
)
WHOLE_WORDS = _set(
    "block lesson class period session workshop hour stunde unterricht clase aula cours seance"
    " leccion taller time"
)
SPEAKERS = _phrases(
    "teacher|t|student|students|s|ss|child|children|class|me|maestra|maestro|alumnos|lehrer|lehrkraft|sus|schuler"
    "|enseignant|eleves|professora|professor|alunos|expected answer|answer|answers|possible answer"
)
NOTE_LABELS = _phrases("note|notes|nota|notas|teacher note|reminder|n b|nb|recordar")
CLASS_LABELS = _phrases("class|class line|for the class|students|say|task|para la clase|clase|estudiantes")
# Names of columns that say where in the lesson a part stands, beside one that says what is done.
STRETCHES = _phrases("momento|section|part|segment|block|seccion|parte")
# Beside each other the first names a phase, the second says what is done in it.
PHASE_HEADERS = _phrases(
    "phase|phases|lesson phase|stage|lesson stage|component|lesson component|fase|etapa|etape"
)
ACTIVITY_HEADERS = _phrases(
    "activity|activities|learning activity|instructional activity|task|actividad|actividades|activite"
    "|atividade"
)
HEADERS: dict[str, frozenset[str]] = {
    "title": _phrases(
        "phase|phases|activity|activities|part|what|segment|section|title|step|name|component|lesson part"
        "|learning activity|lesson component|lesson segment|stage|block|task|event|procedure|agenda|item|fase"
        "|actividad|parte|que|seccion|etapa|etape|activite|atividade|tarefa|inhalt|schritt|deroulement"
        "|actividades|instructional activity|lesson phase|lesson stage|routine|momento"
    ),
    "minutes": _phrases(
        "minutes|minute|min|mins|time|budget|duration|length|how long|minutos|tiempo|duracion|minuten|dauer"
        "|time min|time minutes|est time|pacing|timing|zeit|duree|duracao|tempo|temps|time needed"
        "|allotted time|suggested time|approx time|est minutes|zeitbedarf|zeit min|time in min"
    ),
    "notes": _phrases(
        "notes|note|details|comments|teacher notes|teacher|notas|comentarios|detalles|maestra|materials"
        "|material|resources|what the teacher does|teacher does|teacher actions|teacher action|grouping|who"
        "|interaction|differentiation|objective|description|recursos|materiales|observacoes|materiel"
        "|sozialform|medien|where|observaciones|remarks|bemerkungen|remarques|assessment|purpose|focus|bem"
    ),
    "class_line": CLASS_LABELS | {"students do", "what students do", "student actions", "student does"},
    "kind": _phrases("kind|type|tipo"),
    "number": _phrases("|no|nr|n|number|numero"),
    "start": _phrases("start|starts|begin|begins|from|at|clock|when|inicio|empieza|hora|desde"),
    "end": _phrases("end|ends|until|to|fin|termina|hasta"),
}


def folded(text: str) -> list[str]:
    """The words of a text without case and accents; figures and signs are left out."""
    bare = unicodedata.normalize("NFKD", text[:_MOST].replace("'", "").replace("’", "").casefold())
    return _WORD.findall("".join(char for char in bare if not unicodedata.combining(char)))


def phrase(text: str) -> str:
    """The words of a text as one phrase, to be looked up in a table."""
    return " ".join(folded(text))


def guess_kind(title: str) -> KindName:
    """The kind that a title's words speak of: the first phrase known, the longest where several begin."""
    words = folded(title)
    for at in range(len(words)):
        for size in range(min(_LONGEST, len(words) - at), 0, -1):
            kind = _KINDS.get(" ".join(words[at : at + size]))
            if kind is not None:
                return kind
    return "other"


def kind_begins(text: str) -> int:
    """Where in a text the first words begin that speak of a kind; 0 where none do."""
    for match in _WORD.finditer(text[:_MOST]):
        if guess_kind(text[match.start() : match.start() + _LONGEST_PHRASE]) != "other" and any(
            phrase(text[match.start() : match.start() + size]) in _KINDS for size in range(3, _LONGEST_PHRASE)
        ):
            return match.start()
    return 0


def is_kind_name(title: str) -> bool:
    """Whether a title says the name of a kind and nothing else: "Review", "Repaso", "Look back"."""
    return phrase(title) in _KINDS
