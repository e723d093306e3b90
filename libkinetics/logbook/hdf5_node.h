#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <hdf5.h>

/// A thin, owning layer over HDF5's C interface. Private to the logbook: no other room sees it.
/// HDF5 keeps global state and is not safe to call from two threads at once.

namespace kinetics::hdf5 {

/// Owns an HDF5 identifier of any kind.
class Handle {
 public:
  using Close = herr_t (*)(hid_t);
  Handle() = default;
  Handle(hid_t id, Close close) : id_(id), close_(close) {}
  ~Handle() { reset(); }
  Handle(Handle&& other) noexcept { swap(other); }
  Handle& operator=(Handle&& other) noexcept {
    swap(other);
    return *this;
  }
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;

  [[nodiscard]] hid_t id() const { return id_; }
  [[nodiscard]] bool ok() const { return id_ >= 0; }

 private:
  void swap(Handle& other) noexcept {
    std::swap(id_, other.id_);
    std::swap(close_, other.close_);
  }
  void reset() {
    if (id_ >= 0) close_(id_);
    id_ = -1;
  }

  hid_t id_ = -1;
  Close close_ = nullptr;
};

/// Keeps HDF5 from printing its own error stack while it lives; our errors say it in one line.
class Quiet {
 public:
  Quiet();
  ~Quiet();
  Quiet(const Quiet&) = delete;
  Quiet& operator=(const Quiet&) = delete;

 private:
  H5E_auto2_t function_ = nullptr;
  void* data_ = nullptr;
};

/// A whole file made in memory. `image()` is what belongs on the disk: a full disk is then met by a
/// plain write, which can fail cleanly, and never inside HDF5.
class MemoryFile {
 public:
  MemoryFile();
  [[nodiscard]] hid_t id() const { return file_.id(); }
  [[nodiscard]] std::string image() const;

 private:
  Handle file_;
};

/// Opens for reading what image() gave. `file_name` is for the message. Throws Error{kUnreadable}.
[[nodiscard]] Handle open_image(std::string_view image, const std::string& file_name);

/// Writes into one group. All functions throw Error{kInternal} when HDF5 refuses.
class GroupWriter {
 public:
  GroupWriter(hid_t parent, const std::string& name);

  void attribute(const std::string& name, double value) const;
  void attribute(const std::string& name, std::int64_t value) const;
  void attribute(const std::string& name, const std::string& value) const;
  void column(const std::string& name,
              const std::string& unit,
              const std::vector<double>& values) const;
  void column(const std::string& name,
              const std::string& unit,
              const std::vector<std::int64_t>& values) const;
  void column(const std::string& name, const std::vector<std::string>& values) const;

 private:
  void column_of(const std::string& name,
                 const std::string& unit,
                 hid_t file_type,
                 hid_t memory_type,
                 const void* values,
                 std::size_t count) const;

  Handle group_;
};

/// Whether a group of this name is in the file.
[[nodiscard]] bool has_group(hid_t parent, const std::string& name);

/// Reads from one group. All functions throw Error{kUnreadable} naming the file and the part.
class GroupReader {
 public:
  GroupReader(hid_t parent, const std::string& name, std::string file_name);

  [[nodiscard]] bool has_attribute(const std::string& name) const;
  [[nodiscard]] bool has_column(const std::string& name) const;
  void attribute(const std::string& name, double& value) const;
  void attribute(const std::string& name, std::int64_t& value) const;
  void attribute(const std::string& name, std::string& value) const;
  void column(const std::string& name, std::vector<double>& values) const;
  void column(const std::string& name, std::vector<std::int64_t>& values) const;
  void column(const std::string& name, std::vector<std::string>& values) const;

  [[noreturn]] void damaged(const std::string& part, const std::string& what) const;

 private:
  struct Column {
    Handle set;
    std::size_t count = 0;
  };
  [[nodiscard]] Column open_column(const std::string& name, H5T_class_t wanted) const;
  [[nodiscard]] Handle open_attribute(const std::string& name, H5T_class_t wanted) const;

  std::string name_;
  std::string file_name_;
  Handle group_;
};

}  // namespace kinetics::hdf5
