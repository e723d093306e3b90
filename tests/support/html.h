#pragma once

#include <string>

#include "tests/media/made_clip.h"
#include "tests/support/python.h"

/// Looking into a page with Python's own XML reader.

namespace kinetics_test {

/// What a Python expression says of a page, which must be well-formed XML. In it `root` is the root
/// element, `text` the page as it stands, `said(e)` all text of an element, `of(e, tag, c)` the
/// elements of that tag, and class where given, within `e`; tags without their namespace.
inline std::string told(const std::string& html, const std::string& expression) {
  const kinetics_test::Folder folder;
  kinetics_test::spill(folder / "page.html", html);
  return python(
      folder / "tell.py",
      "import sys, xml.etree.ElementTree as E\n"
      "text = open(sys.argv[1], encoding='utf-8').read()\n"
      "root = E.fromstring(text)\n"
      "def said(e):\n    return ' '.join(''.join(e.itertext()).split())\n"
      "def of(e, tag, c=None):\n"
      "    return [x for x in e.iter() if x.tag == tag and (c is None or\n"
      "            c in x.get('class', '').split())]\n"
      "def section(name):\n"
      "    return [s for s in of(root, 'section') if of(s, 'h2')[0].text == name + ' '][0]\n"
      "def row(s, head):\n"
      "    return [[said(d) for d in of(r, 'td')] for r in of(s, 'tr')\n"
      "            if said(of(r, 'th')[0]) == head][0]\n"
      "print(" +
          expression + ")\n",
      "'" + (folder / "page.html") + "'");
}

}  // namespace kinetics_test
