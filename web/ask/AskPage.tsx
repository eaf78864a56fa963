import { type FormEvent, useEffect, useId, useMemo, useState } from "react";
import { Outside } from "../accounts/SignInPage.tsx";
import { watchedFetch } from "../shared/connection.ts";
import { counted } from "../shared/format.ts";
import { Loading, Page, Section } from "../shared/Page.tsx";
import "./ask.css";

const EXAMPLE = `query HeldUpBy($restoration: ID!) {
  holdUps(restoration: $restoration) {
    completion { dateWithOpenInHand targetDate daysLate }
    ladder(first: 5) {
      edges { node { title heldTo daysGained } }
    }
  }
}`;
const FIRST = `{
  restorations(first: 10) { edges { node { id machine } } }
}`;

/** Types of the schema that are shown at once. */
const SHOWN = 20;

/** Where whoever writes a program against Lastbolt reads what can be asked, and asks it. Nothing on it comes from elsewhere. */
export default function AskPage() {
  return (
    <Outside>
      <Page
        title="Ask the API"
        sentence="Everything that the screens show can be asked for in GraphQL, by POST to this address, as whoever is signed in here."
      >
        <Question />
        <Schema />
      </Page>
    </Outside>
  );
}

function Question() {
  const id = useId();
  const [query, setQuery] = useState(FIRST);
  const [variables, setVariables] = useState("{}");
  const [answer, setAnswer] = useState<string | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [asking, setAsking] = useState(false);

  const ask = async (event: FormEvent) => {
    event.preventDefault();
    setProblem(null);
    let given: unknown;
    try {
      given = JSON.parse(variables.trim() || "{}");
    } catch (error) {
      setProblem(`The variables are not JSON: ${error instanceof Error ? error.message : "they cannot be read"}.`);
      return;
    }
    setAsking(true);
    try {
      const response = await watchedFetch("/graphql", {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ query, variables: given }),
      });
      setAnswer(JSON.stringify(await response.json(), null, 2));
    } catch {
      setProblem("The server did not answer. It may be stopped, or the connection is down.");
    }
    setAsking(false);
  };

  return (
    <Section title="A question" id="question">
      <form className="ask" onSubmit={(event) => void ask(event)}>
        <label htmlFor={`${id}-query`}>Question</label>
        <textarea
          id={`${id}-query`}
          rows={12}
          spellCheck={false}
          value={query}
          onChange={(event) => setQuery(event.target.value)}
        />
        <label htmlFor={`${id}-variables`}>Variables, as JSON</label>
        <textarea
          id={`${id}-variables`}
          rows={3}
          spellCheck={false}
          value={variables}
          aria-invalid={problem !== null || undefined}
          onChange={(event) => setVariables(event.target.value)}
        />
        <div aria-live="polite">{problem && <p className="form-problem">{problem}</p>}</div>
        <div className="form-foot">
          <button type="submit" className="main" disabled={asking || query.trim() === ""}>
            {asking ? "Asking …" : "Ask"}
          </button>
          <button
            type="button"
            onClick={() => {
              setQuery(EXAMPLE);
              setVariables('{ "restoration": "" }');
            }}
          >
            Example with a variable
          </button>
        </div>
      </form>
      <div aria-live="polite">
        {answer !== null && (
          // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reached by keyboard
          <section className="answer" tabIndex={0} aria-label="Answer">
            <pre>{answer}</pre>
          </section>
        )}
      </div>
    </Section>
  );
}

/** What can be asked: the types that hold a word, or all of them. */
function Schema() {
  const id = useId();
  const [text, setText] = useState<string | null>(null);
  const [failed, setFailed] = useState(false);
  const [word, setWord] = useState("Query");
  useEffect(() => {
    const stop = new AbortController();
    watchedFetch("/schema.graphql", { signal: stop.signal })
      .then(async (response) => {
        if (!response.ok) throw new Error(String(response.status));
        setText(await response.text());
      })
      .catch(() => setFailed(!stop.signal.aborted));
    return () => stop.abort();
  }, []);
  const types = useMemo(() => (text ?? "").trim().split(/\n\n(?=\S)/), [text]);
  const found = useMemo(() => {
    const sought = word.trim().toLowerCase();
    const named = (type: string) => new RegExp(`^\\w+ ${sought.replace(/\W/g, "")}\\b`, "im").test(type);
    const holding = types.filter((type) => type.toLowerCase().includes(sought));
    return [...holding.filter(named), ...holding.filter((type) => !named(type))];
  }, [types, word]);
  return (
    <Section
      title="The schema"
      id="schema"
      aside={
        <a href="/schema.graphql" download>
          As a file
        </a>
      }
    >
      {failed ? (
        <p role="alert">The schema could not be read. Load the page again once the server answers.</p>
      ) : text === null ? (
        <Loading what="the schema" />
      ) : (
        <>
          <div className="field">
            <label htmlFor={`${id}-word`}>Find a type, a field or a word</label>
            <input id={`${id}-word`} type="search" value={word} onChange={(event) => setWord(event.target.value)} />
          </div>
          <p className="soft" role="status">
            {counted(found.length, "type")}
            {found.length > SHOWN && `, the first ${SHOWN} of them here; all of them are in the file`}
          </p>
          {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reached by keyboard */}
          <section className="answer" tabIndex={0} aria-label="Types of the schema">
            <pre>{found.slice(0, SHOWN).join("\n\n")}</pre>
          </section>
        </>
      )}
    </Section>
  );
}
