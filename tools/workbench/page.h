#pragma once

#include <span>
#include <string>
#include <string_view>

/// The page's files, taken into the program when it was built.

namespace kinetics::workbench {

struct PageFile {
  std::string_view path;  ///< "index.html", "assets/main-1a2b.js"
  std::string_view bytes;
};

/// Empty when no page had been built. Defined by a source file that embed_page.cmake writes.
[[nodiscard]] std::span<const PageFile> page_files();

/// The file for an address: the page itself for "/" and for addresses that the page makes up (those
/// without a dot in their last part); null for a file that is not there.
[[nodiscard]] const PageFile* page_file(std::string_view address);

/// By the file's ending, for the header Content-Type.
[[nodiscard]] std::string content_type(std::string_view path);

/// What is shown in place of a page that was not built.
[[nodiscard]] std::string page_missing();

}  // namespace kinetics::workbench
