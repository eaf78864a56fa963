import { Component, type ReactNode, useEffect } from "react";
import { connection, useConnection } from "./connection.ts";

interface SheetBoundaryProps {
  /** True where no head stands above it. */
  alone?: boolean;
  children: ReactNode;
}

/** Around a sheet whose own files may not be there: without a connection only those of the field sheet and of the hours are kept. The head stays. */
export class SheetBoundary extends Component<SheetBoundaryProps, { failed: boolean }> {
  override state = { failed: false };

  static getDerivedStateFromError() {
    return { failed: true };
  }

  override render() {
    if (!this.state.failed) return this.props.children;
    const problem = (
      <div className="state problem" role="alert">
        <h1>Cannot show this sheet</h1>
        <Why />
        <div className="row">
          <button type="button" onClick={() => window.location.reload()}>
            Try again
          </button>
        </div>
      </div>
    );
    if (!this.props.alone) return problem;
    return (
      <div className="sheet">
        <main id="main">{problem}</main>
      </div>
    );
  }
}

function Why() {
  const { answers } = useConnection();
  // Files are not read by way of what follows the connection, so it is asked whether the server answers.
  useEffect(() => connection.hint(true), []);
  return (
    <p>
      {answers
        ? "Something in it went wrong, or the program was updated since it was opened."
        : "There is no connection, and this sheet is not kept on this device. The field sheet and the hours are."}{" "}
      Nothing was changed or lost.
    </p>
  );
}
