"""What people read: rows and figures that explain themselves; screens, commands, CSV and paper share them."""
