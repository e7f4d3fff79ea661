/** Puts a further stylesheet into the page, once, after those that are there. */

export const addStylesheet = (href) =>
  new Promise((done, failed) => {
    if (document.head.querySelector(`link[href="${href}"]`)) {
      done();
      return;
    }
    const link = document.createElement('link');
    link.rel = 'stylesheet';
    link.href = href;
    link.onload = () => done();
    link.onerror = () => {
      // The next try begins anew.
      link.remove();
      failed(new TypeError(`no stylesheet at ${href}`));
    };
    document.head.append(link);
  });
