// Runs in every page the tests open. What it dislikes becomes a console error, and
// a console error fails the test.
(() => {
  "use strict";

  // WCAG 2.2, 2.5.5: 44 by 44 CSS pixels, for what is pressed with a gloved finger.
  const LEAST_PX = 44;
  const PRESSED = "button, summary, a.button, input[type=submit], select, label.check";

  const complain = (what) => console.error(`${location.pathname}: ${what}`);

  document.addEventListener("securitypolicyviolation", (event) =>
    complain(`the policy stopped ${event.violatedDirective} ${event.blockedURI}`),
  );

  window.addEventListener("load", () => {
    const { scrollWidth } = document.documentElement;
    if (scrollWidth > innerWidth) {
      complain(`scrolls sideways, ${scrollWidth} px wide on ${innerWidth}`);
    }
    for (const element of document.querySelectorAll(PRESSED)) {
      const { height } = element.getBoundingClientRect();
      if (element.checkVisibility() && height < LEAST_PX - 0.5) {
        const name = element.textContent.trim() || element.name;
        complain(`“${name}” is ${height} px high, too low for a finger`);
      }
    }
  });
})();
