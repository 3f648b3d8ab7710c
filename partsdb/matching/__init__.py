"""Line text -> candidates -> evidence -> reading. Iterables and arrays in, no database."""
