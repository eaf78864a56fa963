import { useCallback } from "react";
import { useLocation, useNavigate, useSearchParams } from "react-router";

interface ChangeOptions {
  /** Takes the place of the present entry in the browser's history. */
  replace?: boolean;
}

/**
 * What the address asks after its "?", and a way to change it. A change starts from the address as it stands in the
 * browser, not as it was last drawn, so that two quick changes both hold.
 */
export function useAddress(): [
  URLSearchParams,
  (change: (params: URLSearchParams) => void, options?: ChangeOptions) => void,
] {
  const [params] = useSearchParams();
  const navigate = useNavigate();
  const { pathname } = useLocation();
  const change = useCallback(
    (alter: (params: URLSearchParams) => void, options: ChangeOptions = {}) => {
      // Late word from a sheet that has been left must not bring it back.
      if (window.location.pathname !== pathname) return;
      const next = new URLSearchParams(window.location.search);
      alter(next);
      void navigate({ search: next.toString() }, options);
    },
    [navigate, pathname],
  );
  return [params, change];
}
