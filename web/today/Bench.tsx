import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { dateInFull, dayAndMonth, hours } from "../shared/format.ts";
import { Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type OwnTask, useOwnWork } from "./ownWork.ts";

/** For an account that is a hand's: what that hand does on the day of the figures and next, on whatever machine. */
export function Bench({ isToday }: { isToday: boolean }) {
  const { id, day } = useRestoration();
  const own = useOwnWork(id);
  if (!own) return null;
  const now = own.tasks.filter(({ startDate }) => startDate <= day);
  const next = own.tasks.filter(({ startDate }) => startDate > day);
  const on = isToday ? "today" : `on ${dateInFull(day)}`;
  return (
    <Section title={`Your work, ${own.name}`} id="own-work">
      {now.length === 0 && <p className="soft">The schedule has nothing for you {on}.</p>}
      <Tasks
        tasks={now}
        here={id}
        words={({ finishDate }) => (finishDate > day ? `${on}, to ${dayAndMonth(finishDate)}` : on)}
      />
      {next.length > 0 && <h3>Next</h3>}
      <Tasks
        tasks={next}
        here={id}
        words={({ startDate, finishDate }) =>
          startDate === finishDate ? dateInFull(startDate) : `${dayAndMonth(startDate)} to ${dateInFull(finishDate)}`
        }
      />
      {own.total > own.tasks.length && (
        <p>
          And {own.total - own.tasks.length} more: <Link to={addressOf.byHand(id)}>By hand</Link>
        </p>
      )}
    </Section>
  );
}

interface TasksProps {
  tasks: readonly OwnTask[];
  /** The machine whose sheet it is: others are named. */
  here: string;
  words: (task: OwnTask) => string;
}

const Tasks = ({ tasks, here, words }: TasksProps) =>
  tasks.length > 0 && (
    <ul className="today-lines">
      {tasks.map((task) => {
        const { title, operation, restoration, hours: left } = task.work;
        return (
          <li key={`${restoration.id} ${title} ${task.startDate}`}>
            {operation ? <Link to={addressOf.operation(restoration.id, operation.id)}>{title}</Link> : title}:{" "}
            {words(task)}, {hours(left)}
            {restoration.id !== here && <span className="soft"> ({restoration.machine})</span>}
          </li>
        );
      })}
    </ul>
  );
