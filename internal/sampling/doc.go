// Package sampling says who is sampled, and what a sample shows.
//
// A plan says how much of what is drawn, and what makes an attempt likelier to be looked at. A draw takes at least one attempt
// of every stratum (assessor, units, method, site), and the rest by risk. It follows from its list and its seed alone, so that
// anybody can draw it again. What a sample shows is the exact hypergeometric distribution: the smaller the list, the less
// a few clean attempts say about the rest, and the words here say so before anything is drawn.
//
// Nothing here judges: a person looks at every attempt that is drawn. Time, seeds and lists are arguments.
package sampling
