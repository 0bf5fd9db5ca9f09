# One call declares a module: its library, its rank, what it may use, and its tests.
#
#   greywright_module(colour RANK 1 USES core LIBRARIES Eigen3::Eigen)
#
# Every .cpp of the folder belongs to the library, every *_test.cpp to the test program.
# USES      modules of a lower rank (or one listed as BESIDE; see docs/architecture.md)
# LIBRARIES third-party targets, private to the module
# The configure step stops when a module uses one of its own rank or a higher one, and when
# a source file includes another module's header without the module being named in USES.

function(greywright_check_includes module folder)
  file(GLOB sources CONFIGURE_DEPENDS ${folder}/*.h ${folder}/*.cpp)
  foreach(source IN LISTS sources)
    set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${source})
    file(STRINGS ${source} lines REGEX "^[ \t]*#[ \t]*include[ \t]+\"[a-z_]+/")
    foreach(line IN LISTS lines)
      string(REGEX REPLACE "^[^\"]*\"([a-z_]+)/.*$" "\\1" used "${line}")
      if(NOT used STREQUAL module AND NOT used IN_LIST ARGN)
        message(FATAL_ERROR "${source}: module '${module}' includes '${used}' but does not name it in USES")
      endif()
    endforeach()
  endforeach()
endfunction()

function(greywright_module name)
  cmake_parse_arguments(PARSE_ARGV 1 arg "" "RANK" "USES;LIBRARIES;TEST_USES;TEST_LIBRARIES")
  set_property(GLOBAL PROPERTY greywright_rank_${name} ${arg_RANK})
  foreach(used IN LISTS arg_USES)
    get_property(used_rank GLOBAL PROPERTY greywright_rank_${used})
    if("${used_rank}" STREQUAL "")
      message(FATAL_ERROR "module '${name}' uses '${used}', which is not declared before it")
    endif()
    if(NOT used_rank LESS arg_RANK)
      message(FATAL_ERROR "module '${name}' (rank ${arg_RANK}) may not use '${used}' (rank ${used_rank})")
    endif()
  endforeach()
  greywright_check_includes(${name} ${CMAKE_CURRENT_SOURCE_DIR} ${arg_USES} ${arg_TEST_USES} testing)

  file(GLOB sources CONFIGURE_DEPENDS *.cpp *.h)
  set(tests ${sources})
  list(FILTER tests INCLUDE REGEX "_test\\.cpp$")
  list(FILTER sources EXCLUDE REGEX "_test\\.cpp$")
  add_library(greywright_${name} STATIC ${sources})
  target_include_directories(greywright_${name} PUBLIC ${PROJECT_SOURCE_DIR}/src)
  list(TRANSFORM arg_USES PREPEND greywright_)
  target_link_libraries(greywright_${name} PUBLIC ${arg_USES}
                                           PRIVATE ${arg_LIBRARIES} greywright_warnings)
  if(tests AND GREYWRIGHT_TESTS)
    list(TRANSFORM arg_TEST_USES PREPEND greywright_)
    greywright_test(${name}_test SOURCES ${tests}
                    LIBRARIES greywright_${name} ${arg_TEST_USES} ${arg_LIBRARIES} ${arg_TEST_LIBRARIES})
  endif()
endfunction()

# A GoogleTest program, every case known to CTest by its own name and run by itself. With AT_ONCE the program is
# one case to CTest: for cases that share a costly set-up.
function(greywright_test name)
  cmake_parse_arguments(PARSE_ARGV 1 arg "AT_ONCE" "" "SOURCES;LIBRARIES")
  add_executable(${name} ${arg_SOURCES})
  target_link_libraries(${name} PRIVATE ${arg_LIBRARIES} greywright_testing greywright_warnings
                                        GTest::gtest_main GTest::gmock)
  target_compile_definitions(${name} PRIVATE GREYWRIGHT_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
  if(arg_AT_ONCE)
    add_test(NAME ${name} COMMAND ${name})
    set_tests_properties(${name} PROPERTIES TIMEOUT 1800 COST 1000)
  else()
    gtest_discover_tests(${name} DISCOVERY_TIMEOUT 60 PROPERTIES TIMEOUT 300)
  endif()
endfunction()
