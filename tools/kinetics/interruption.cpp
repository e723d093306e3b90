#include "tools/kinetics/interruption.h"

#include <csignal>

namespace kinetics::cli {
namespace {

volatile std::sig_atomic_t interrupted = 0;

}  // namespace

void remember_interruptions() {
  struct sigaction action {};
  action.sa_handler = [](int) { interrupted = 1; };
  action.sa_flags = static_cast<int>(SA_RESETHAND);
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) sigaction(signal, &action, nullptr);
}

bool interrupted_once() {
  return interrupted != 0;
}

void throw_if_interrupted() {
  if (interrupted_once()) throw Interrupted();
}

}  // namespace kinetics::cli
