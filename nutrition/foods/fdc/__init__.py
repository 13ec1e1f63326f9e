"""Foods of USDA FoodData Central: the download, and the library that it is read into."""
