#include "libkinetics/logbook/hdf5_node.h"

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <cstring>
#include <string>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics::hdf5 {
namespace {

// Rows a chunk holds, and the compression that costs little and halves a path.
constexpr hsize_t kChunkRows = 4096;
constexpr unsigned kDeflateLevel = 4;
constexpr hsize_t kFewRows = 256;
// A day at 1000 Hz. A damaged header must not make us ask for all the memory there is.
constexpr hsize_t kMostRows = 100'000'000;
constexpr std::size_t kLongestText = 1U << 20U;
constexpr std::size_t kMemoryFileGrowth = 1U << 20U;
constexpr std::size_t kTextBuffer = 1U << 14U;

[[noreturn]] void write_failed(const std::string& name) {
  throw Error(ErrorCode::kInternal,
              "session file",
              fmt::format("HDF5 could not write '{}'", name),
              "This is a fault in kinetics or too little memory");
}

void require(bool done, const std::string& name) {
  if (!done) write_failed(name);
}

Handle text_type() {
  Handle type(H5Tcopy(H5T_C_S1), &H5Tclose);
  H5Tset_size(type.id(), H5T_VARIABLE);
  H5Tset_cset(type.id(), H5T_CSET_UTF8);
  return type;
}

Handle scalar() {
  return {H5Screate(H5S_SCALAR), &H5Sclose};
}

// HDF5 clears a buffer for each column of text that it moves, a megabyte if it is not told
// otherwise: that was three quarters of the time of a small session.
Handle text_transfer() {
  Handle transfer(H5Pcreate(H5P_DATASET_XFER), &H5Pclose);
  H5Pset_buffer(transfer.id(), kTextBuffer, nullptr, nullptr);
  return transfer;
}

// HDF5 wants a name, but it never reaches a disk: the backing store is off. Two files of one name
// that are open at the same time are one and the same to HDF5, so that each must have its own.
std::string name_of_no_file() {
  static std::atomic<unsigned> count{0};
  return fmt::format("kinetics-session-{}", ++count);
}

Handle in_memory() {
  Handle access(H5Pcreate(H5P_FILE_ACCESS), &H5Pclose);
  H5Pset_fapl_core(access.id(), kMemoryFileGrowth, 0);
  return access;
}

void write_attribute(
    hid_t owner, const std::string& name, hid_t file_type, hid_t memory_type, const void* value) {
  const Handle space = scalar();
  const Handle attribute(
      H5Acreate2(owner, name.c_str(), file_type, space.id(), H5P_DEFAULT, H5P_DEFAULT), &H5Aclose);
  require(attribute.ok() && H5Awrite(attribute.id(), memory_type, value) >= 0, name);
}

void write_text_attribute(hid_t owner, const std::string& name, const std::string& value) {
  const Handle type = text_type();
  const char* const text = value.c_str();
  write_attribute(owner, name, type.id(), type.id(), &text);
}

}  // namespace

Quiet::Quiet() {
  H5Eget_auto2(H5E_DEFAULT, &function_, &data_);
  H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
}

Quiet::~Quiet() {
  H5Eset_auto2(H5E_DEFAULT, function_, data_);
}

MemoryFile::MemoryFile() {
  const Handle access = in_memory();
  file_ = Handle(H5Fcreate(name_of_no_file().c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, access.id()),
                 &H5Fclose);
  require(file_.ok(), "/");
}

std::string MemoryFile::image() const {
  require(H5Fflush(file_.id(), H5F_SCOPE_GLOBAL) >= 0, "/");
  const ssize_t size = H5Fget_file_image(file_.id(), nullptr, 0);
  require(size > 0, "/");
  std::string bytes(static_cast<std::size_t>(size), '\0');
  require(H5Fget_file_image(file_.id(), bytes.data(), bytes.size()) == size, "/");
  return bytes;
}

Handle open_image(std::string_view image, const std::string& file_name) {
  const Handle access = in_memory();
  std::string bytes(image);  // HDF5 asks for a buffer it could write to, and copies it
  Handle file;
  if (H5Pset_file_image(access.id(), bytes.data(), bytes.size()) >= 0) {
    file = Handle(H5Fopen(name_of_no_file().c_str(), H5F_ACC_RDONLY, access.id()), &H5Fclose);
  }
  if (!file.ok()) {
    throw Error(ErrorCode::kUnreadable,
                file_name,
                "its HDF5 part cannot be opened",
                "Use a copy of it, or analyse the clip again");
  }
  return file;
}

GroupWriter::GroupWriter(hid_t parent, const std::string& name)
    : group_(name == "/" ? H5Gopen2(parent, "/", H5P_DEFAULT)
                         : H5Gcreate2(parent, name.c_str(), H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT),
             &H5Gclose) {
  require(group_.ok(), name);
}

void GroupWriter::attribute(const std::string& name, double value) const {
  write_attribute(group_.id(), name, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, &value);
}

void GroupWriter::attribute(const std::string& name, std::int64_t value) const {
  write_attribute(group_.id(), name, H5T_STD_I64LE, H5T_NATIVE_INT64, &value);
}

void GroupWriter::attribute(const std::string& name, const std::string& value) const {
  write_text_attribute(group_.id(), name, value);
}

void GroupWriter::column(const std::string& name,
                         const std::string& unit,
                         const std::vector<double>& values) const {
  column_of(name, unit, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, values.data(), values.size());
}

void GroupWriter::column(const std::string& name,
                         const std::string& unit,
                         const std::vector<std::int64_t>& values) const {
  column_of(name, unit, H5T_STD_I64LE, H5T_NATIVE_INT64, values.data(), values.size());
}

void GroupWriter::column(const std::string& name, const std::vector<std::string>& values) const {
  std::vector<const char*> texts(values.size());
  std::transform(
      values.begin(), values.end(), texts.begin(), [](const auto& v) { return v.c_str(); });
  const Handle type = text_type();
  column_of(name, "text", type.id(), type.id(), texts.data(), texts.size());
}

void GroupWriter::column_of(const std::string& name,
                            const std::string& unit,
                            hid_t file_type,
                            hid_t memory_type,
                            const void* values,
                            std::size_t count) const {
  const hsize_t rows = count;
  const Handle space(H5Screate_simple(1, &rows, nullptr), &H5Sclose);
  const Handle layout(H5Pcreate(H5P_DATASET_CREATE), &H5Pclose);
  // The same content makes the same file, whenever it is written.
  H5Pset_obj_track_times(layout.id(), false);
  // The filters see only a text's address, so they would gain nothing there. A chunked column
  // brings an index of some 2 kB, more than a few rows are worth.
  if (rows > kFewRows && H5Tget_class(file_type) != H5T_STRING) {
    const hsize_t chunk = std::min(rows, kChunkRows);
    H5Pset_chunk(layout.id(), 1, &chunk);
    H5Pset_shuffle(layout.id());
    H5Pset_deflate(layout.id(), kDeflateLevel);
  }
  const Handle set(
      H5Dcreate2(
          group_.id(), name.c_str(), file_type, space.id(), H5P_DEFAULT, layout.id(), H5P_DEFAULT),
      &H5Dclose);
  require(set.ok(), name);
  if (rows > 0) {
    const Handle transfer = text_transfer();
    require(H5Dwrite(set.id(), memory_type, H5S_ALL, H5S_ALL, transfer.id(), values) >= 0, name);
  }
  write_text_attribute(set.id(), "unit", unit);
}

bool has_group(hid_t parent, const std::string& name) {
  return H5Lexists(parent, name.c_str(), H5P_DEFAULT) > 0;
}

GroupReader::GroupReader(hid_t parent, const std::string& name, std::string file_name)
    : name_(name),
      file_name_(std::move(file_name)),
      group_(H5Gopen2(parent, name.c_str(), H5P_DEFAULT), &H5Gclose) {
  if (!group_.ok()) damaged("", "is missing");
}

void GroupReader::damaged(const std::string& part, const std::string& what) const {
  const std::string place =
      name_ == "/" ? "/" + part : "/" + name_ + (part.empty() ? "" : "/" + part);
  throw Error(ErrorCode::kUnreadable,
              file_name_,
              fmt::format("the session is damaged: {} {}", place, what),
              "Use a copy of it, or analyse the clip again");
}

bool GroupReader::has_attribute(const std::string& name) const {
  return H5Aexists(group_.id(), name.c_str()) > 0;
}

bool GroupReader::has_column(const std::string& name) const {
  return H5Lexists(group_.id(), name.c_str(), H5P_DEFAULT) > 0;
}

Handle GroupReader::open_attribute(const std::string& name, H5T_class_t wanted) const {
  Handle attribute(H5Aopen(group_.id(), name.c_str(), H5P_DEFAULT), &H5Aclose);
  if (!attribute.ok()) damaged(name, "is missing");
  const Handle type(H5Aget_type(attribute.id()), &H5Tclose);
  const Handle space(H5Aget_space(attribute.id()), &H5Sclose);
  if (H5Tget_class(type.id()) != wanted || H5Sget_simple_extent_npoints(space.id()) != 1) {
    damaged(name, "has the wrong type");
  }
  if (wanted == H5T_STRING && H5Tis_variable_str(type.id()) <= 0) {
    damaged(name, "has the wrong type");
  }
  return attribute;
}

void GroupReader::attribute(const std::string& name, double& value) const {
  const Handle attribute = open_attribute(name, H5T_FLOAT);
  if (H5Aread(attribute.id(), H5T_NATIVE_DOUBLE, &value) < 0) damaged(name, "cannot be read");
}

void GroupReader::attribute(const std::string& name, std::int64_t& value) const {
  const Handle attribute = open_attribute(name, H5T_INTEGER);
  if (H5Aread(attribute.id(), H5T_NATIVE_INT64, &value) < 0) damaged(name, "cannot be read");
}

void GroupReader::attribute(const std::string& name, std::string& value) const {
  const Handle attribute = open_attribute(name, H5T_STRING);
  const Handle type = text_type();
  const Handle space = scalar();
  char* text = nullptr;
  if (H5Aread(attribute.id(), type.id(), &text) < 0) damaged(name, "cannot be read");
  value = text == nullptr ? "" : std::string(text, ::strnlen(text, kLongestText));
  H5Dvlen_reclaim(type.id(), space.id(), H5P_DEFAULT, &text);
}

GroupReader::Column GroupReader::open_column(const std::string& name, H5T_class_t wanted) const {
  Column column{.set = Handle(H5Dopen2(group_.id(), name.c_str(), H5P_DEFAULT), &H5Dclose)};
  if (!column.set.ok()) damaged(name, "is missing");
  const Handle type(H5Dget_type(column.set.id()), &H5Tclose);
  const Handle space(H5Dget_space(column.set.id()), &H5Sclose);
  hsize_t rows = 0;
  if (H5Tget_class(type.id()) != wanted || H5Sget_simple_extent_ndims(space.id()) != 1 ||
      H5Sget_simple_extent_dims(space.id(), &rows, nullptr) < 0) {
    damaged(name, "has the wrong type");
  }
  if (wanted == H5T_STRING && H5Tis_variable_str(type.id()) <= 0) {
    damaged(name, "has the wrong type");
  }
  if (rows > kMostRows) damaged(name, "is longer than any clip");
  column.count = static_cast<std::size_t>(rows);
  return column;
}

void GroupReader::column(const std::string& name, std::vector<double>& values) const {
  const Column column = open_column(name, H5T_FLOAT);
  values.resize(column.count);
  if (column.count > 0 &&
      H5Dread(column.set.id(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()) <
          0) {
    damaged(name, "cannot be read");
  }
}

void GroupReader::column(const std::string& name, std::vector<std::int64_t>& values) const {
  const Column column = open_column(name, H5T_INTEGER);
  values.resize(column.count);
  if (column.count > 0 &&
      H5Dread(column.set.id(), H5T_NATIVE_INT64, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()) <
          0) {
    damaged(name, "cannot be read");
  }
}

void GroupReader::column(const std::string& name, std::vector<std::string>& values) const {
  const Column column = open_column(name, H5T_STRING);
  values.clear();
  if (column.count == 0) return;
  const Handle type = text_type();
  const Handle space(H5Dget_space(column.set.id()), &H5Sclose);
  const Handle transfer = text_transfer();
  std::vector<char*> texts(column.count, nullptr);
  const bool done =
      H5Dread(column.set.id(), type.id(), H5S_ALL, H5S_ALL, transfer.id(), texts.data()) >= 0;
  for (const char* const text : texts) {
    values.emplace_back(text == nullptr ? "" : std::string(text, ::strnlen(text, kLongestText)));
  }
  H5Dvlen_reclaim(type.id(), space.id(), H5P_DEFAULT, texts.data());
  if (!done) damaged(name, "cannot be read");
}

}  // namespace kinetics::hdf5
