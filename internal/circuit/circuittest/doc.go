// Package circuittest holds circuits whose answers are known from outside:
// exact values with their reference, and tables that a general-purpose
// simulator computed. Tests of the solvers and of the devices share them.
package circuittest
