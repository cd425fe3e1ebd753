import { useState } from "preact/hooks";
import { job } from "../bridge";
import { refused, said, troubleText } from "../state";
import { keepLink, linkOf, makeLink, stem } from "../links";
import { t } from "../words";
import { Btn, Section } from "./kit";
import { copyText } from "../copy";

/** CrewLink makes, shows and takes back the address of a crew's page. */
export function CrewLink({ crew, name }: { crew: string; name: string }) {
  const w = t().crewLink;
  const [link, setLink] = useState(() => linkOf(crew));
  const fail = (e: unknown) => { refused.value = troubleText(e); };
  const make = (anew: boolean) => void makeLink(crew, anew).then(setLink, fail);
  const drop = () => {
    const at = stem();
    job({ to: "crewUnlink", crew }).then(() => { keepLink(crew, undefined, at); setLink(undefined); said.value = { text: w.dropped }; }, fail);
  };
  const share = () => void navigator.share({ title: name, url: link!.url }).catch(() => undefined);
  const copy = () => void copyText(link!.url).then(() => { said.value = { text: w.copied }; }, fail);
  return (
    <Section name={w.title}>
      <p>{w.lead}</p>
      {link ? (
        <>
          <p class="address"><a href={link.url} target="_blank" rel="noreferrer" data-crew-link>{link.url}</a></p>
          <div class="acts">
            <Btn kind="main" onPress={copy}>{w.copy}</Btn>
            {"share" in navigator && <Btn onPress={share}>{w.share}</Btn>}
          </div>
          <details class="more">
            <summary>{w.lost}</summary>
            <div class="acts">
              <Btn changes onPress={() => make(true)}>{w.anew}</Btn>
              <Btn kind="bad" changes onPress={drop}>{w.drop}</Btn>
            </div>
          </details>
        </>
      ) : <Btn changes onPress={() => make(false)}>{w.make}</Btn>}
    </Section>
  );
}
