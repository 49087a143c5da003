"""The board of a workspace: what there is to say of every plot, kept while its files change."""
