#pragma once

#include <string>

#include "tests/media/made_clip.h"
#include "tests/support/python.h"

/// Looking into an SVG with Python's own XML reader.

namespace kinetics_test {

/// What a Python expression says of a drawing. In it `root` is the root element and `of(tag, c)`
/// the elements of that tag and class.
inline std::string evaluated(const std::string& svg, const std::string& expression) {
  const kinetics_test::Folder folder;
  kinetics_test::spill(folder / "drawing.svg", svg);
  return python(folder / "tell.py",
                "import sys, xml.etree.ElementTree as E\nroot = E.parse(sys.argv[1]).getroot()\n"
                "def of(tag, c):\n"
                "    return [e for e in root.iter('{http://www.w3.org/2000/svg}' + tag)\n"
                "            if e.get('class') == c]\n"
                "print(" +
                    expression + ")\n",
                "'" + (folder / "drawing.svg") + "'");
}

}  // namespace kinetics_test
