import { t } from "../words";
import { Section, Title } from "../parts/kit";

declare const VERSION: string;

export function About() {
  const w = t().about;
  return (
    <>
      <Title goBack={["more"]}>{w.title}</Title>
      <p>{w.what}</p>
      <Section name={w.safetyTitle}>{w.safety.map((line) => <p key={line}>{line}</p>)}</Section>
      <Section name={w.savedTitle}><p>{w.saved}</p></Section>
      <p class="soft">{w.version} {VERSION}</p>
      <a class="btn quiet" href="/licences.txt" target="_blank" rel="noopener">{w.licences}</a>
    </>
  );
}
