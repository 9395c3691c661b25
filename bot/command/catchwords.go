package command

import (
	"strings"

	"ledgehand/session/catch/names"
)

// The words of catch lines, in English, Spanish, Portuguese and Japanese at once, for mates mix them (general usage, no
// single source). A phrase is tried before its parts, and a name of a fish before a word of ours unless it is one word.

type catchKind uint8

const (
	cNumber catchKind = iota
	cFish
	cKept
	cLetGo // with n > 0: "let 3 go"
	cAll
	cBoth
	cIt
	cRest
	cNone
	cNo
	cHalf
	cAbout
	cTimes // x5
	cRange // 4-6
	cMeasure
	cOne // a, an
	cNote
	cSep  // between entries: a comma, a full stop
	cJoin // within an entry or between: and, got, of
	cWas
	cBlank
	cRods
	cHours
	cMinutes
	cLost
	cShort
	cLegal
	cEach
	cShared // between us
	cMe
	cPerson
	cMore
	cMany
	cLimit
	cSmall
	cBig
	cUpTo
	cTime
	cCut
	cMark    // a remark with a meaning of its own: speared, tagged
	cTalk    // fish, bites: about fishing, and no fish of a kind
	cChatter // says nothing
	cUnclear // or, except, not: what it changes is not ours to guess
	cUnknown
)

type catchToken struct {
	kind    catchKind
	said    string
	q       quantity
	n       int
	species []names.Species
	unsure  bool   // the species is a guess: ask
	notFish string // the plain name of an octopus, a crab
	plural  bool
	spoken  bool // a count in words: never a length
	capital bool
	counter bool // "2匹": a count by its own word
}

// mostWords is the longest phrase.
const mostWords = 5

// phrases by their number of lexemes.
var phrases = func() [mostWords + 1]map[string]catchToken {
	var byLength [mostWords + 1]map[string]catchToken
	for i := range byLength {
		byLength[i] = map[string]catchToken{}
	}
	add := func(s string, t catchToken) { byLength[len(lex(s))][s] = t }
	for _, p := range []struct {
		kind catchKind
		list string
	}{
		{cKept, "kept|keep|keeper|keepers|keeping|took|took home|taken|ate|eaten|in the bag|in bag|in the esky|on ice|on the stringer|bagged|bled|k|" +
			"guardei|guardado|guardada|guardados|guardadas|fiquei com|levei|me quedé|me quedo|me quede|quedé|guardé|guarde|nos quedamos|キープ|持ち帰り"},
		{cLetGo, "released|release|releasing|returned|return|back|back in|put back|threw back|thrown back|tossed|tossed back|let go|went back|went back in|sent back|" +
			"gone back|swam off|swam away|cpr|c & r|c and r|catch and release|rel|freed|set free|chucked back|chucked|slipped back|released alive|throwback|throwbacks|" +
			"back to the water|to the water|liberated|dropped back in|r|" +
			"devolvido|devolvida|devolvidos|devolvidas|devolvi|solto|solta|soltos|soltas|soltei|libertado|libertada|libertei|de volta|ao mar|à água|" +
			"devuelto|devuelta|devueltos|devueltas|devolví|suelto|suelta|sueltos|sueltas|solté|soltado|soltada|soltados|liberado|liberada|liberados|al agua|al mar|" +
			"リリース|放流|逃がした"},
		{cAll, "all|the lot|all of them|them all|everything|the whole lot|lot|every one|every fish|todos|todas|tudo|todo|全部|全て"},
		{cBoth, "both|both of them|the pair|os dois|as duas|los dos|las dos|ambos|ambas|両方"},
		{cIt, "it|him|her"},
		{cRest, "the rest|rest|others|the others|the other|the other one|the remainder|the rest of them|o resto|el resto|resto|os outros|los demás|los otros|残り"},
		{cNone, "none|none of them|ninguno|ninguna|nenhum|nenhuma"},
		{cNo, "no|nope|nah|não"},
		{cHalf, "half|half of them|the other half|la mitad|metade"},
		{cAbout, "over|under|above|better than|about|around|roughly|approx|approximately|circa|nearly|almost|close to|just under|just over|just shy of|at least|maybe|probably|prob|i guess|guess|or so|ish|" +
			"give or take|estimated|est|at a guess|by eye|eyeballed|unos|unas|cerca de|aprox|aproximadamente|uns|umas|más o menos|mais ou menos|約|くらい|ぐらい"},
		{cOne, "a|an|un|una|um|uma"},
		{cBlank, "blank|blanked|blanks|a blank|donut|a donut|donuts|doughnut|skunked|got skunked|no fish|nothing|zilch|nada|zip|nil|nowt|zero|zero fish|0 fish|no bites|not a bite|not a touch|" +
			"no touches|no joy|no luck|duck|a duck|caught nothing|got nothing|nothing doing|nothing landed|no catch|didn't catch anything|didn't get a bite|no takes|fishless|" +
			"nothing at all|nothing caught|dry|bolo|bolazo|nada de nada|sin capturas|sin peces|cero|cero capturas|grade|sem peixe|nada pescado|bozu|ボウズ|坊主|釣果なし"},
		{cRods, "rod|rods|angler|anglers|line|lines|of us|people|blokes|caña|cañas|cana|canas|本竿"},
		{cHours, "hour|hours|hr|hrs|h|hora|horas|時間"},
		{cMinutes, "min|mins|minute|minutes|minuto|minutos|分"},
		{cSep, "then|but|also|pero|mas|luego|depois"},
		{cJoin, "and|plus|got|caught|landed|had|of|with|y|e|com|con|de|scored|managed|picked up|hooked|measured|measuring|went|at|cogí|pesqué|saqué|peguei|apanhei"},
		{cWas, "was|were|is|are|era|foi"},
		{cLost, "lost|dropped|bust off|busted off|busted me off|bust me off|bust|busted|got busted|bricked|bricked me|got bricked|reefed|reefed me|snapped off|snapped me|snapped me off|snapped|" +
			"pulled hooks|pulled hook|pulled the hook|pulled the hooks|hook pulled|hooks pulled|spat the hook|spat hook|threw the hook|threw hook|shook off|shook the hook|came off|got off|" +
			"fell off|broke off|broke me off|broke the line|dusted|got dusted|dusted me|got smoked|smoked me|sharked|taken by a shark|shark took|shark got|seal took|seal got|taxed|" +
			"missed|bust offs|bust off s|got away|straightened the hook|cut me off|rubbed off|perdí|perdido|perdida|perdidos|se soltó|se me fue|perdi|fugiu|partiu|rompió|バラシ|バラし|ばらし|バラした"},
		{cShort, "just under size|just undersize|a bit short|slightly short|a touch short|bit short|too little|bit small|a bit small|undersize|undersized|under size|too small|short|shorts|sublegal|sub legal|not legal|just short|unders|below size|under the limit|tiddlers|tiddler|不足|" +
			"sin talla|no da la talla|no dan la talla|pequeño|pequeños|pequeno|pequenos|sem medida|abaixo da medida"},
		{cLegal, "just legal|barely legal|legal|legals|just size|sized|just sized|just made it|just on legal|on the limit|justo de medida|com medida"},
		{cEach, "each|apiece|each one|each of them|cada|cada uno|cada um"},
		{cShared, "we|we got|we caught|we had|we landed|we kept|my mate|the mate|a mate|mate|mates|my son|my daughter|my wife|my brother|my dad|my partner|the kids|my kid|between us|between them|amongst us|among us|between the two of us|for the group|entre todos|entre nós"},
		{cMe, "i|i got|i caught|i had|i landed|me|myself|mine|yo|eu"},
		{cMore, "more|another|extra|more of them|more of the same|más|mais"},
		{cMany, "everywhere|heaps|heaps of|a heap of|loads|loads of|lots|lots of|tons|tons of|plenty|plenty of|a few|few|some|several|a bunch of|bunch of|stacks of|many|lost count|lost count of|" +
			"non stop|nonstop|too many|dozens|dozens of|hundreds|hundreds of|countless|muchos|muchas|varios|varias|vários|várias|muitos|muitas|algunos|algunas|alguns|たくさん"},
		{cLimit, "our limit|our limits|limit|limits|the limit|a limit|my limit|bag limit|full bag|bagged out|bagged out on|limited out|limited out on|our bag|my bag|a bag of|quota|cupo|el cupo"},
		{cSmall, "smaller|the smaller|smaller one|the smaller one|small one|the small one|little one|the little one|smallest|the smallest|shorter one|the shorter one|el pequeño|o pequeno|the shorter"},
		{cBig, "bigger|the bigger|bigger one|the bigger one|the big one|the larger one|larger one|the larger|el grande|o grande"},
		{cUpTo, "to|up to|biggest|largest|best|the biggest|the largest|the best|max|topping|top fish|biggest was|best was|largest was|longest|biggest at|best at|hasta|até|mayor|maior|最大"},
		{cTime, "last night|yesterday|yesterday arvo|yesterday morning|the night before|anoche|ayer|ontem|ontem à noite|昨日|this morning|this arvo|this afternoon|this evening|tonight|today|earlier|" +
			"earlier today|at dawn|at dusk|at first light|at last light|hoy|hoje|esta mañana|esta tarde|esta manhã|今朝|今日|in the morning|in the arvo|in the evening|this am|this pm"},
		{cCut, "cut the trace|cut trace|cut the line|cut line|cut the leader|cut it off|cut it free|cut free|line cut|trace cut|cut the hooklength|cut off"},
		{cMark, "speared|spear|spearfishing|while spearing|tagged|tagged and|recaptured|recapture|clipped"},
		{cTalk, "fish|the fish|fishing|bite|bites|biting|fishes|peixe|peixes|pez|peces|pescado|魚"},
		{cUnclear, "or|except|not|never|instead|than|without|unless|ou|sin|sem|excepto|exceto"},
		{cChatter, "bait|bag|bags|tally|result|results|score|session|morning session|report|update|haul|totals|final|so far|for the day|fished|fishing the|dinner sorted|nice|good|great|lovely|cracking|cracker|solid|fat|healthy|small|little|tiny|big|huge|large|decent|beaut|beauty|ripper|monster|pb|personal best|quality|reasonable|average|fair|" +
			"beautiful|massive|pan sized|plate sized|the|this|that|these|those|them|they|my|his|their|our|us|so|very|just|only|still|too|well|in|into|as|always|again|now|here|there|has|have|been|" +
			"from|off|on|for|by|using|slot fish|slot|over slot|under slot|bonus|finally|fresh|more or less a|pics|pic|photo|photos|all day|straight|quick|hen|cock|male|female|big old|old|new|first|last|second|third|fella|fellas|ones|" +
			"el|la|los|las|lo|os|as|o|do|da|dos peixes|del|al|mi|meu|minha|buen|buena|bonito ejemplar|grande|grandes|gran|linda|lindo|bom|boa|lovely condition|hard fighting|が|を|の|は|で|と|も|に|です|でした|ました|good size|good sized|nice size|also a|yum|happy|" +
			"cm fish|hook|hooked in lip|lip hooked|gut hooked"},
	} {
		for s := range strings.SplitSeq(p.list, "|") {
			add(s, catchToken{kind: p.kind, said: s})
		}
	}
	for s := range strings.SplitSeq("tl|t l|total|total length|overall|overall length|to the tip|全長", "|") {
		add(s, catchToken{kind: cMeasure, said: "TL"})
	}
	for s := range strings.SplitSeq("fl|f l|fork|to the fork|to fork|fork length|nose to fork|a la furca|ao garfo", "|") {
		add(s, catchToken{kind: cMeasure, said: "FL"})
	}
	number := func(s string, n int) {
		add(s, catchToken{kind: cNumber, q: quantity{v: float64(n), whole: true}, spoken: true})
	}
	for s, n := range map[string]int{"couple": 2, "couple of": 2, "a couple": 2, "a couple of": 2, "pair of": 2, "a pair of": 2, "pair": 2, "brace of": 2, "a brace of": 2, "brace": 2,
		"half a dozen": 6, "half dozen": 6, "dozen": 12, "a dozen": 12, "half a doz": 6, "two dozen": 24, "twenty": 20, "twenty five": 25, "thirty": 30, "forty": 40, "fifty": 50,
		"thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19, "a single": 1, "single": 1,
		"uno": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9, "diez": 10, "doce": 12, "media docena": 6, "un par de": 2, "una docena": 12, "docena": 12,
		"dois": 2, "duas": 2, "três": 3, "quatro": 4, "sete": 7, "oito": 8, "nove": 9, "dez": 10, "doze": 12, "meia dúzia": 6, "meia dúzia de": 6, "um par de": 2, "uma dúzia": 12} {
		number(s, n)
	}
	for s, n := range numberWords {
		number(s, n)
	}
	return byLength
}()

// noteStarts are words that a note may start with.
var noteStarts = map[string]bool{"on": true, "off": true, "at": true, "from": true, "for": true, "@": true, "using": true, "near": true, "con": true, "para": true, "desde": true}

// yesterday are the words of the day before; others that tell a time of day are of today.
var yesterday = map[string]bool{"last night": true, "yesterday": true, "yesterday arvo": true, "yesterday morning": true, "the night before": true, "anoche": true, "ayer": true, "ontem": true, "ontem à noite": true, "昨日": true}

// remarks are flags for whoever judges or counts the line later.
var remarks = map[string]string{"speared": "not_rod", "spear": "not_rod", "spearfishing": "not_rod", "while spearing": "not_rod", "tagged": "tag", "tagged and": "tag", "recaptured": "tag", "recapture": "tag", "clipped": "tag"}

// shellfish is what people take besides fish, by what they call it: it has rules of its own, which are never those of a fish.
var shellfish = func() map[string]string {
	out := map[string]string{}
	for _, x := range strings.Fields("octopus:octopus,occy,occies,octopuses,octo,pulpo,polvo,タコ squid:squid,squids,calamari,lula,calamar,イカ cuttlefish:cuttlefish,cuttle,choco,sepia " +
		"rock_crab:rock_crab,rock_crabs crab:crab,crabs,cangrejo,caranguejo,カニ mud_crab:mud_crab,mud_crabs,muddie,muddies blue_crab:blue_swimmer,blue_swimmers " +
		"rock_lobster:rock_lobster,crayfish,cray,crays,lobster,lobsters,langosta,lagosta abalone:abalone,abs,paua,perlemoen mussel:mussel,mussels,mejillones,mexilhões " +
		"limpet:limpet,limpets,lapas sea_urchin:urchin,urchins,sea_urchin,kina,erizos prawn:prawn,prawns shrimp:shrimp,shrimps cunjevoi:cunjevoi,cunje redbait:redbait,red_bait " +
		"turban_shell:turban,turbans pipi:pipi,pipis oyster:oyster,oysters goose_barnacle:percebes,percebe,goose_barnacles periwinkle:periwinkles,winkles alikreukel:alikreukel") {
		plain, words, _ := strings.Cut(x, ":")
		for w := range strings.SplitSeq(words, ",") {
			out[strings.ReplaceAll(w, "_", " ")] = strings.ReplaceAll(plain, "_", " ")
		}
	}
	return out
}()

// colours are half a name: what fish they are of must be said.
var colours = wordSet("red blue black green gold golden silver white spotted yellow brown grey gray striped rock sea river deep sand mud rojo negro blanco dorado azul preto branco vermelho")

// wide are names of many fish for which rules are the same as a rule, so that the kind need not be known to note them
// (Tasmania: all wrasse).
var wide = map[string]bool{"wrasse": true, "wrasses": true, "wrassie": true}

// kinds are fish of a kind that the table of names does not hold, or not by so short a name: something was caught, and which must be asked.
var kinds = func() map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields("shark sharks ray rays stingray stingrays skate skates eel eels catfish toadfish toad toads trout tuna cod perch rockfish bass bream snapper wrasse mullet gurnard flatfish whiting " +
		"sargo sargos mero raya rayas tiburón tubarão raia barracuda bonito kingfish grouper groper drummer salmon") {
		out[w] = true
	}
	return out
}()

// Japanese is written without spaces: they are put around counters and the words above, and full-width signs are made plain.
var spaced = func() *strings.Replacer {
	pairs := []string{"㎝", "cm ", "センチ", "cm ", "ミリ", "mm ", "キログラム", "kg ", "キロ", "kg ", "グラム", "g ", "、", ", ", "。", ". ", "・", ", ", "　", " ", "匹目", " ", "×", "x", "′", "'", "’", "'", "“", "\"", "”", "\"", "″", "\""}
	for _, w := range strings.Fields("匹 枚 尾 杯 リリース 放流 逃がした キープ 持ち帰り ボウズ 坊主 バラした バラシ バラし 全部 全て 残り 時間 釣果なし 両方 今朝 今日 昨日 最大 くらい ぐらい たくさん が を は で と も") {
		pairs = append(pairs, w, " "+w+" ")
	}
	for i, d := range []rune("０１２３４５６７８９") {
		pairs = append(pairs, string(d), string(rune('0'+i)))
	}
	return strings.NewReplacer(pairs...)
}()
