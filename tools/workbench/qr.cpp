#include "tools/workbench/qr.h"

#include <cstddef>
#include <memory>

#include <fmt/format.h>
#include <qrencode.h>

#include "libkinetics/core/error.h"

namespace kinetics::workbench {
namespace {

constexpr int kMargin = 4;

using Code = std::unique_ptr<QRcode, decltype(&QRcode_free)>;

Code code_of(const std::string& text) {
  Code code(QRcode_encodeString(text.c_str(), 0, QR_ECLEVEL_M, QR_MODE_8, 1), &QRcode_free);
  if (code) return code;
  throw Error(
      ErrorCode::kInternal, "pairing link", "no code could be made of it", "Type it instead");
}

bool dark(const QRcode& code, int x, int y) {
  if (x < 0 || y < 0 || x >= code.width || y >= code.width) return false;
  return (code.data[static_cast<std::size_t>(y) * static_cast<std::size_t>(code.width) +
                    static_cast<std::size_t>(x)] &
          1U) != 0;
}

}  // namespace

std::string qr_svg(const std::string& text) {
  const Code code = code_of(text);
  const int side = code->width + 2 * kMargin;
  std::string path;
  for (int y = 0; y < code->width; ++y) {
    for (int x = 0; x < code->width; ++x) {
      if (dark(*code, x, y)) path += fmt::format("M{} {}h1v1h-1z", x + kMargin, y + kMargin);
    }
  }
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {0}\" role=\"img\" "
      "aria-label=\"Pairing code\" shape-rendering=\"crispEdges\">"
      "<path fill=\"#fff\" d=\"M0 0h{0}v{0}H0z\"/><path fill=\"#000\" d=\"{1}\"/></svg>",
      side,
      path);
}

std::string qr_text(const std::string& text) {
  const Code code = code_of(text);
  constexpr int kEdge = 2;
  std::string out;
  for (int y = -kEdge; y < code->width + kEdge; y += 2) {
    for (int x = -kEdge; x < code->width + kEdge; ++x) {
      const bool upper = !dark(*code, x, y);
      const bool lower = !dark(*code, x, y + 1);
      out += upper && lower ? "\u2588" : upper ? "\u2580" : lower ? "\u2584" : " ";
    }
    out += '\n';
  }
  return out;
}

}  // namespace kinetics::workbench
