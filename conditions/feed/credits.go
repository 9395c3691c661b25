package feed

// Credits names whose forecasts, observations and warnings the answers rest on, a line each, as their terms ask for.
func Credits() []string {
	return []string{
		"Weather data by Open-Meteo.com, CC BY 4.0, https://open-meteo.com/ (Copernicus Marine, ECMWF, NOAA, DWD); the largest of several models is shown.",
		"Second opinion: data from MET Norway, CC BY 4.0.",
		"Buoys: NOAA National Data Buoy Center, public domain.",
		"Warnings: US National Weather Service, public domain; elsewhere the national services through EUMETNET MeteoAlarm (CC BY 4.0) and their own CAP indexes. Their own pages are newer than this.",
	}
}
