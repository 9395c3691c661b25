package rules

// families says of each genus in the table of names, and of those the examples add, which family it is in; a rule may be
// for a whole family. From memory, after the usual classification of fishes; a genus that is not here is never guessed,
// and those that books put in different families are left out.
var families = map[string]string{
	"Kyphosus": "Kyphosidae", "Medialuna": "Kyphosidae", "Neoscorpis": "Kyphosidae", "Scorpis": "Kyphosidae",
	"Acanthopagrus": "Sparidae", "Rhabdosargus": "Sparidae", "Chrysophrys": "Sparidae", "Spondyliosoma": "Sparidae", "Sparus": "Sparidae", "Diplodus": "Sparidae",
	"Sarpa": "Sparidae", "Oblada": "Sparidae", "Lithognathus": "Sparidae", "Dentex": "Sparidae", "Pagrus": "Sparidae", "Pagellus": "Sparidae", "Boops": "Sparidae",
	"Pachymetopon": "Sparidae", "Sparodon": "Sparidae", "Cymatoceps": "Sparidae", "Stenotomus": "Sparidae", "Archosargus": "Sparidae", "Chrysoblephus": "Sparidae", "Petrus": "Sparidae",
	"Pomatomus": "Pomatomidae", "Arripis": "Arripidae", "Argyrosomus": "Sciaenidae", "Sciaenops": "Sciaenidae", "Pogonias": "Sciaenidae", "Cilus": "Sciaenidae", "Umbrina": "Sciaenidae",
	"Seriola": "Carangidae", "Pseudocaranx": "Carangidae", "Caranx": "Carangidae", "Trachurus": "Carangidae", "Lichia": "Carangidae", "Trachinotus": "Carangidae",
	"Achoerodus": "Labridae", "Notolabrus": "Labridae", "Bodianus": "Labridae", "Labrus": "Labridae", "Symphodus": "Labridae", "Centrolabrus": "Labridae",
	"Ctenolabrus": "Labridae", "Semicossyphus": "Labridae", "Tautoga": "Labridae", "Tautogolabrus": "Labridae",
	"Cheilodactylus": "Cheilodactylidae", "Nemadactylus": "Cheilodactylidae", "Latridopsis": "Latridae", "Latris": "Latridae", "Aplodactylus": "Aplodactylidae",
	"Parapercis": "Pinguipedidae", "Chelidonichthys": "Triglidae", "Polyprion": "Polyprionidae", "Platycephalus": "Platycephalidae",
	"Sillago": "Sillaginidae", "Sillaginodes": "Sillaginidae", "Mugil": "Mugilidae", "Chelon": "Mugilidae", "Liza": "Mugilidae",
	"Sarda": "Scombridae", "Scomber": "Scombridae", "Thunnus": "Scombridae", "Thyrsites": "Gempylidae", "Hyporhamphus": "Hemiramphidae", "Dinolestes": "Dinolestidae",
	"Dicentrarchus": "Moronidae", "Morone": "Moronidae", "Pollachius": "Gadidae", "Gadus": "Gadidae", "Merlangius": "Gadidae", "Trisopterus": "Gadidae", "Molva": "Lotidae",
	"Gaidropsarus": "Lotidae", "Conger": "Congridae", "Belone": "Belonidae", "Platichthys": "Pleuronectidae", "Paralichthys": "Paralichthyidae",
	"Scyliorhinus": "Scyliorhinidae", "Serranus": "Serranidae", "Epinephelus": "Epinephelidae", "Mycteroperca": "Epinephelidae", "Plectropomus": "Epinephelidae", "Variola": "Epinephelidae",
	"Paralabrax": "Serranidae", "Centropristis": "Serranidae", "Balistes": "Balistidae", "Muraena": "Muraenidae", "Dichistius": "Dichistiidae",
	"Pomadasys": "Haemulidae", "Isacia": "Haemulidae", "Sebastes": "Sebastidae", "Sebastiscus": "Sebastidae", "Ophiodon": "Hexagrammidae", "Hexagrammos": "Hexagrammidae",
	"Embiotoca": "Embiotocidae", "Amphistichus": "Embiotocidae", "Rhacochilus": "Embiotocidae", "Hyperprosopon": "Embiotocidae",
	"Scorpaena": "Scorpaenidae", "Cebidichthys": "Stichaeidae", "Oplegnathus": "Oplegnathidae", "Lateolabrax": "Lateolabracidae", "Siganus": "Siganidae",
	"Stephanolepis": "Monacanthidae", "Eleginops": "Eleginopsidae", "Rachycentron": "Rachycentridae", "Sphyraena": "Sphyraenidae", "Centropomus": "Centropomidae",
	"Glaucosoma": "Glaucosomatidae", "Hypsypops": "Pomacentridae", "Mullus": "Mullidae", "Anguilla": "Anguillidae", "Percalates": "Percichthyidae", "Odax": "Odacidae",
}
