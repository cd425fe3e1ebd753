// Whose telephone numbers are meant when nobody says: the site's country, else that of its time zone
// where a zone is in one country only, else that of this phone's language.
const ZONES: Record<string, string> = {
  "America/New_York": "US", "America/Chicago": "US", "America/Denver": "US", "America/Phoenix": "US", "America/Los_Angeles": "US", "America/Anchorage": "US", "Pacific/Honolulu": "US",
  "America/Detroit": "US", "America/Boise": "US", "America/Toronto": "CA", "America/Vancouver": "CA", "America/Mexico_City": "MX", "America/Tijuana": "MX", "America/Monterrey": "MX",
  "Europe/Madrid": "ES", "Europe/London": "GB", "America/Bogota": "CO", "America/Lima": "PE", "America/Santiago": "CL", "America/Argentina/Buenos_Aires": "AR",
};

export function countryOf(said: string | undefined, zone: string | undefined, languages: readonly string[]): string {
  const spoken = languages.map((l) => /^[a-z]{2,3}(?:-[A-Z][a-z]{3})?-([A-Z]{2})\b/.exec(l)?.[1]).find(Boolean);
  return said || ZONES[zone ?? ""] || spoken || "US";
}
