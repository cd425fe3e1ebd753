import { job } from "../bridge";
import { forgetViews, write } from "../state";
import { chooseTheme, theme, THEMES } from "../theme";
import { chooseLang, lang, t } from "../words";
import { Section, Title } from "../parts/kit";
import { Toggles } from "../parts/fields";

export function Look() {
  const w = t().look;
  const speak = async (id: string) => {
    await chooseLang(id);
    if (lang.value !== id) return; // its words could not be fetched
    write("bb.lang", id);
    forgetViews();
    void job({ to: "lang", lang: id });
  };
  return (
    <>
      <Title goBack={["more"]}>{w.title}</Title>
      <Section name={w.theme}>
        <Toggles label={w.theme} value={theme.value} choices={THEMES.map((id) => ({ id, name: w.themes[id]! }))} set={(id) => { write("bb.theme", id); chooseTheme(id); }} />
      </Section>
      <Section name={w.language}>
        <Toggles label={w.language} value={lang.value} choices={["en", "es"].map((id) => ({ id, name: w.languages[id]! }))} set={(id) => void speak(id)} />
      </Section>
    </>
  );
}
